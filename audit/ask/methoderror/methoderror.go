// Package methoderror asks how closely movements were measured, and greys what is
// below it.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package methoderror

import (
	"fmt"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/agree"
	"shortfall/ingest/casebook"
)

// Answer estimates the error of one measurement from the repeats, for
// millimetres and degrees apart, and apart for each way of measuring.
func Answer(p *rows.Set) []results.MethodError {
	var out []results.MethodError
	measured := p.RepeatMethods()
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		for _, method := range append(casebook.Methods(), casebook.NoMethod) {
			var first, second []float64
			cases := map[casebook.CaseKey]bool{}
			for i, r := range p.Dataset.Repeats {
				if r.Axis.Unit() == u && measured[i] == method {
					first, second = append(first, r.First), append(second, r.Second)
					cases[r.Case] = true
				}
			}
			if len(first) > 0 {
				e := errorOf(p, u, first, second, len(cases))
				e.MeasuredBy = method
				out = append(out, e)
			}
		}
	}
	return out
}

func errorOf(p *rows.Set, u casebook.Unit, first, second []float64, cases int) results.MethodError {
	n := results.NotEstimable
	e := results.MethodError{
		Unit: u, Pairs: len(first), Cases: cases, Bias: measure.NoSpread(), BiasP: n, Dahlberg: n, MethodOfMoments: n,
		ICC: measure.NoSpread(), SmallestDetectable: n, LowerAgreement: n, UpperAgreement: n,
	}
	a, err := agree.Agreement(first, second, p.Settings.Level)
	if err != nil {
		e.Warnings = []results.Warning{measure.NotEstimated(err)}
		return e
	}
	e.Bias, e.BiasP = measure.Spread(a.Bias), results.Number(a.Bias.P)
	e.Dahlberg, e.MethodOfMoments = results.Number(a.Dahlberg.Value), results.Number(a.MethodOfMoments.Value)
	e.LowerAgreement, e.UpperAgreement = results.Number(a.LowerLimit.Value), results.Number(a.UpperLimit.Value)
	e.ICC, e.SmallestDetectable = measure.Spread(a.ICC), results.Number(a.SmallestDetectable)
	e.Warnings = measure.Warnings(a.Warnings)
	if sdc := float64(e.SmallestDetectable); sdc > p.Settings.Tolerance(u) {
		e.Warnings = append(e.Warnings, aboveTolerance(u, sdc, &p.Settings))
	}
	if smallest := p.Settings.Smallest(u); float64(e.SmallestDetectable) > smallest {
		e.Warnings = append(e.Warnings, results.Warning{
			ID: "error-not-small", Text: fmt.Sprintf("the smallest detectable change (%.2g%s) is larger than the smallest plan analysed (%g%s)",
				float64(e.SmallestDetectable), wording.UnitText(u), smallest, wording.UnitText(u)),
			Remedy: "read small movements with care, or raise the smallest plan",
		})
	}
	return e
}
