// Package flow asks who and what is in the audit: the flow from rows read to
// movements analysed, ascertainment, completeness, and what was left out.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package flow

import (
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Completeness counts how often each field that the analyses use was recorded.
// A field counts only where it could be filled: an end month for finished
// cases, a shape for bonded features.
func Completeness(p *rows.Set) []results.FieldCount {
	out, _ := countAll(p)
	return out
}

// sides are the cases with a field filled and with it empty, no more than the
// smallest number shown.
type sides [2]int

// countAll counts every field, and the cases on either side of each.
func countAll(p *rows.Set) (out []results.FieldCount, on []sides) {
	add := func(fields []results.FieldCount, s []sides) { out, on = append(out, fields...), append(on, s...) }
	add(countFields(p, "case", p.Dataset.Cases, func(c *casebook.Case) casebook.CaseKey { return c.Key() }, []field[casebook.Case]{
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
	}))
	add(countFields(p, "course", p.Dataset.Courses, func(c *casebook.Course) casebook.CaseKey { return c.Case }, []field[casebook.Course]{
		{"start month", nil, func(c *casebook.Course) bool { return c.Start != 0 }},
		{"aligners planned", nil, func(c *casebook.Course) bool { return c.AlignersPlanned.OK }},
		{"aligners used", nil, func(c *casebook.Course) bool { return c.AlignersUsed.OK }},
	}))
	bonded := func(m *casebook.Movement) bool {
		return m.Style == casebook.SoftwareSuggested || m.Style == casebook.ClinicianDesigned
	}
	add(countFields(p, "movement", p.Dataset.Movements, func(m *casebook.Movement) casebook.CaseKey { return m.Case }, []field[casebook.Movement]{
		{"achieved", nil, func(m *casebook.Movement) bool { return m.Achieved.OK }},
		{"direction", nil, func(m *casebook.Movement) bool { return !m.SizeOnly }},
		{"attachment style", nil, func(m *casebook.Movement) bool { return m.Style != casebook.NoStyle }},
		{"attachment shape", bonded, func(m *casebook.Movement) bool { return m.Shape != casebook.NoShape }},
		{"attachment orientation", bonded, func(m *casebook.Movement) bool { return m.Orientation != casebook.NoOrientation }},
		{"attachment size", bonded, func(m *casebook.Movement) bool { return m.SizeMM.OK }},
		{"attachment lost or kept", bonded, func(m *casebook.Movement) bool { return m.Lost.OK }},
		{"staging", nil, func(m *casebook.Movement) bool { return m.Staging != casebook.NoStaging }},
	}))
	return out, on
}

// field of a record: where it could be filled (nil: everywhere), whether it was.
type field[T any] struct {
	name            string
	could, recorded func(*T) bool
}

// countFields counts each field, and the cases on either side of it.
func countFields[T any](p *rows.Set, record string, values []T, caseOf func(*T) casebook.CaseKey, fields []field[T]) ([]results.FieldCount, []sides) {
	out, on := make([]results.FieldCount, len(fields)), make([]sides, len(fields))
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
		on[k] = sides{len(with.Seen), len(without.Seen)}
	}
	return out, on
}
