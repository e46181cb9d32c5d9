package audit

import (
	"fmt"
	"math"

	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats/agree"
	"shortfall/ingest/casebook"
)

// completeness counts how often each field that the analyses use was recorded.
// A field counts only where it could be filled: an end month for finished
// cases, a shape for bonded features.
func completeness(p *rows.Set) []results.FieldCount {
	var out []results.FieldCount
	p.FieldCases = nil
	out = append(out, countFields(p, "case", p.Dataset.Cases, func(c *casebook.Case) casebook.CaseKey { return c.Key() }, []field[casebook.Case]{
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
	out = append(out, countFields(p, "course", p.Dataset.Courses, func(c *casebook.Course) casebook.CaseKey { return c.Case }, []field[casebook.Course]{
		{"start month", nil, func(c *casebook.Course) bool { return c.Start != 0 }},
		{"aligners planned", nil, func(c *casebook.Course) bool { return c.AlignersPlanned.OK }},
		{"aligners used", nil, func(c *casebook.Course) bool { return c.AlignersUsed.OK }},
	})...)
	bonded := func(m *casebook.Movement) bool {
		return m.Style == casebook.SoftwareSuggested || m.Style == casebook.ClinicianDesigned
	}
	return append(out, countFields(p, "movement", p.Dataset.Movements, func(m *casebook.Movement) casebook.CaseKey { return m.Case }, []field[casebook.Movement]{
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
func countFields[T any](p *rows.Set, record string, values []T, caseOf func(*T) casebook.CaseKey, fields []field[T]) []results.FieldCount {
	out := make([]results.FieldCount, len(fields))
	for k, f := range fields {
		out[k] = results.FieldCount{Record: record, Field: f.name}
		with, without := disclose.FewDistinct{Limit: p.Settings.MinCellCases}, disclose.FewDistinct{Limit: p.Settings.MinCellCases}
		for i := range values {
			if f.could != nil && !f.could(&values[i]) {
				continue
			}
			out[k].Total++
			if f.recorded(&values[i]) {
				out[k].Recorded++
				with.Add(caseOf(&values[i]))
			} else {
				without.Add(caseOf(&values[i]))
			}
		}
		p.FieldCases = append(p.FieldCases, [2]int{len(with.Seen), len(without.Seen)})
	}
	return out
}

// methodError estimates the error of one measurement from the repeats, for
// millimetres and degrees apart.
func methodError(p *rows.Set) []results.MethodError {
	var out []results.MethodError
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		var first, second []float64
		cases := map[casebook.CaseKey]bool{}
		for _, r := range p.Dataset.Repeats {
			if r.Axis.Unit() == u {
				first, second = append(first, r.First), append(second, r.Second)
				cases[r.Case] = true
			}
		}
		if len(first) > 0 {
			out = append(out, errorOf(p, u, first, second, len(cases)))
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
	if smallest := p.Settings.Smallest(u); float64(e.SmallestDetectable) > smallest {
		e.Warnings = append(e.Warnings, results.Warning{
			ID: "error-not-small", Text: fmt.Sprintf("the smallest detectable change (%.2g%s) is larger than the smallest plan analysed (%g%s)",
				float64(e.SmallestDetectable), wording.UnitText(u), smallest, wording.UnitText(u)),
			Remedy: "read small movements with care, or raise the smallest plan",
		})
	}
	return e
}

// unplannedTable shows movement where nothing, or less than the smallest
// meaningful amount, was planned.
func unplannedTable(p *rows.Set) []results.Unplanned {
	type group struct {
		outside []bool
		cluster []int
		abs     float64
	}
	var groups [7]group
	for i := range p.Unplanned {
		r := &p.Unplanned[i]
		g := &groups[r.Axis]
		size := math.Abs(r.Achieved)
		g.outside = append(g.outside, size > p.Settings.Tolerance(r.Unit()))
		g.cluster, g.abs = append(g.cluster, r.Cluster), g.abs+size
	}
	var out []results.Unplanned
	for _, axis := range casebook.Axes() {
		if g := &groups[axis]; len(g.outside) > 0 {
			out = append(out, results.Unplanned{
				Axis: axis, Unit: axis.Unit(), Cases: measure.CountRuns(g.cluster), Movements: len(g.outside),
				MeanAbs: results.Number(g.abs / float64(len(g.outside))), Outside: measure.ClusteredShare(g.outside, g.cluster, &p.Settings),
			})
		}
	}
	return out
}
