package audit

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats/agree"
	"shortfall/ingest/casebook"
)

// completeness counts how often each field that the analyses use was recorded.
// A field counts only where it could be filled: an end month for finished
// cases, a shape for bonded features.
func (p *prepared) completeness() []results.FieldCount {
	var out []results.FieldCount
	p.fieldCases = nil
	out = append(out, countFields(p, "case", p.ds.Cases, func(c *casebook.Case) casebook.CaseKey { return c.Key() }, []field[casebook.Case]{
		{"practice", nil, func(c *casebook.Case) bool { return c.Practice != "" }},
		{"clinician", nil, func(c *casebook.Case) bool { return c.Clinician != "" }},
		{"age band", nil, func(c *casebook.Case) bool { return c.AgeBand != casebook.NoAgeBand }},
		{"start month", nil, func(c *casebook.Case) bool { return c.Start != 0 }},
		{"end month", func(c *casebook.Case) bool { return c.Status != casebook.UnderTreatment }, func(c *casebook.Case) bool { return c.End != 0 }},
		{"status", nil, func(c *casebook.Case) bool { return c.Status != casebook.NoStatus }},
		{"planned aligners", nil, func(c *casebook.Case) bool { return c.PlannedAligners.OK }},
		{"change interval", nil, func(c *casebook.Case) bool { return c.ChangeDays.OK }},
		{"wear", nil, func(c *casebook.Case) bool { return c.Wear != casebook.NoWear }},
		{"stated refinements", nil, func(c *casebook.Case) bool { return c.StatedRefinements.OK }},
	})...)
	out = append(out, countFields(p, "course", p.ds.Courses, func(c *casebook.Course) casebook.CaseKey { return c.Case }, []field[casebook.Course]{
		{"start month", nil, func(c *casebook.Course) bool { return c.Start != 0 }},
		{"aligners planned", nil, func(c *casebook.Course) bool { return c.AlignersPlanned.OK }},
		{"aligners used", nil, func(c *casebook.Course) bool { return c.AlignersUsed.OK }},
	})...)
	bonded := func(m *casebook.Movement) bool {
		return m.Style == casebook.SoftwareSuggested || m.Style == casebook.ClinicianDesigned
	}
	return append(out, countFields(p, "movement", p.ds.Movements, func(m *casebook.Movement) casebook.CaseKey { return m.Case }, []field[casebook.Movement]{
		{"achieved", nil, func(m *casebook.Movement) bool { return m.Achieved.OK }},
		{"direction", nil, func(m *casebook.Movement) bool { return !m.SizeOnly }},
		{"feature style", nil, func(m *casebook.Movement) bool { return m.Style != casebook.NoStyle }},
		{"feature shape", bonded, func(m *casebook.Movement) bool { return m.Shape != casebook.NoShape }},
		{"feature orientation", bonded, func(m *casebook.Movement) bool { return m.Orientation != casebook.NoOrientation }},
		{"feature size", bonded, func(m *casebook.Movement) bool { return m.SizeMM.OK }},
		{"feature lost or kept", bonded, func(m *casebook.Movement) bool { return m.Lost.OK }},
		{"staging", nil, func(m *casebook.Movement) bool { return m.Staging != casebook.NoStaging }},
	})...)
}

// field of a record: where it could be filled (nil: everywhere), whether it was.
type field[T any] struct {
	name            string
	could, recorded func(*T) bool
}

// countFields counts each field, and the cases on either side of it.
func countFields[T any](p *prepared, record string, values []T, caseOf func(*T) casebook.CaseKey, fields []field[T]) []results.FieldCount {
	out := make([]results.FieldCount, len(fields))
	for k, f := range fields {
		out[k] = results.FieldCount{Record: record, Field: f.name}
		with, without := fewDistinct{limit: p.settings.MinCellCases}, fewDistinct{limit: p.settings.MinCellCases}
		for i := range values {
			if f.could != nil && !f.could(&values[i]) {
				continue
			}
			out[k].Total++
			if f.recorded(&values[i]) {
				out[k].Recorded++
				with.add(caseOf(&values[i]))
			} else {
				without.add(caseOf(&values[i]))
			}
		}
		p.fieldCases = append(p.fieldCases, [2]int{len(with.seen), len(without.seen)})
	}
	return out
}

// methodError estimates the error of one measurement from the repeats, for
// millimetres and degrees apart.
func (p *prepared) methodError() []results.MethodError {
	var out []results.MethodError
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		var first, second []float64
		cases := map[casebook.CaseKey]bool{}
		for _, r := range p.ds.Repeats {
			if r.Axis.Unit() == u {
				first, second = append(first, r.First), append(second, r.Second)
				cases[r.Case] = true
			}
		}
		if len(first) > 0 {
			out = append(out, p.errorOf(u, first, second, len(cases)))
		}
	}
	return out
}

func (p *prepared) errorOf(u casebook.Unit, first, second []float64, cases int) results.MethodError {
	n := results.NotEstimable
	e := results.MethodError{
		Unit: u, Pairs: len(first), Cases: cases, Bias: noSpread(), BiasP: n, Dahlberg: n, MethodOfMoments: n,
		ICC: noSpread(), SmallestDetectable: n, LowerAgreement: n, UpperAgreement: n,
	}
	a, err := agree.Agreement(first, second, p.settings.Level)
	if err != nil {
		e.Warnings = []results.Warning{notEstimated(err)}
		return e
	}
	e.Bias, e.BiasP = spread(a.Bias), results.Number(a.Bias.P)
	e.Dahlberg, e.MethodOfMoments = results.Number(a.Dahlberg.Value), results.Number(a.MethodOfMoments.Value)
	e.LowerAgreement, e.UpperAgreement = results.Number(a.LowerLimit.Value), results.Number(a.UpperLimit.Value)
	e.ICC, e.SmallestDetectable = spread(a.ICC), results.Number(a.SmallestDetectable)
	e.Warnings = warnings(a.Warnings)
	if smallest := p.settings.Smallest(u); float64(e.SmallestDetectable) > smallest {
		e.Warnings = append(e.Warnings, results.Warning{
			ID: "error-not-small", Text: fmt.Sprintf("the smallest detectable change (%.2g%s) is larger than the smallest plan analysed (%g%s)",
				float64(e.SmallestDetectable), unitText(u), smallest, unitText(u)),
			Remedy: "read small movements with care, or raise the smallest plan",
		})
	}
	return e
}

// unplannedTable shows movement where nothing, or less than the smallest
// meaningful amount, was planned.
func (p *prepared) unplannedTable() []results.Unplanned {
	type group struct {
		outside []bool
		cluster []int
		abs     float64
	}
	var groups [7]group
	for i := range p.unplanned {
		r := &p.unplanned[i]
		g := &groups[r.axis]
		size := math.Abs(r.achieved)
		g.outside = append(g.outside, size > p.settings.Tolerance(r.unit()))
		g.cluster, g.abs = append(g.cluster, r.cluster), g.abs+size
	}
	var out []results.Unplanned
	for _, axis := range casebook.Axes() {
		if g := &groups[axis]; len(g.outside) > 0 {
			out = append(out, results.Unplanned{
				Axis: axis, Unit: axis.Unit(), Cases: countRuns(g.cluster), Movements: len(g.outside),
				MeanAbs: results.Number(g.abs / float64(len(g.outside))), Outside: clusteredShare(g.outside, g.cluster, &p.settings),
			})
		}
	}
	return out
}
