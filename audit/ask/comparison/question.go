// Package comparison asks whether the choice of attachment went with a different
// result: style against style.
//
// Place in the pipeline: one question of audit/ask; audit/between and audit/compare
// compute it.
package comparison

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks whether the choice of attachment went with a different result.
func Question() ask.Question {
	return ask.Question{
		ID: "comparison", Share: 38,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) (err error) {
			r.Comparisons, err = between.Comparisons(ctx, p)
			return err
		},
		Part:     func(r *results.Results) []any { return []any{&r.Comparisons} },
		Withhold: between.Withhold,
		Columns:  columns(), Definitions: definitions, Findings: findings, Section: Section,
	}
}

// Section is what is told and drawn of the comparisons.
func Section(r *results.Results) results.Section {
	out := results.Section{ID: "comparison", Title: "Did the attachment choice matter"}
	out.Lines = []results.Line{{Text: "Clinician-designed is set against software-suggested within one kind of movement, tooth class and course, never across them. The styles were chosen, not drawn by lot: large plans attract suggestions and hard teeth attract the clinician's own design. What is shown is association.", See: []string{"verdict"}}}
	judged, not := split(r)
	out.Exhibits = exhibits(r, judged, not)
	for _, i := range chosen(r, judged) {
		if c := &r.Comparisons[i]; stands(c) {
			out.Lines = append(out.Lines, told(c))
		}
	}
	switch {
	case len(judged)+len(not) == 0:
		out.Lines = []results.Line{{Role: results.Missing, Text: "No comparison was possible: no movement with an attachment of either style is on record."}}
	case len(judged) == 0:
		out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: "No comparison was possible: " + WhyNone(r, All(r), "comparison") + ". The reason of each: " + wording.OnSheet("comparisons") + ".", See: []string{"comparison.not-comparable"}})
	}
	return out
}

// All are the comparisons of the results, where they lie.
func All(r *results.Results) (out []*results.Comparison) {
	for i := range r.Comparisons {
		out = append(out, &r.Comparisons[i])
	}
	return out
}

// told is a difference, with the way to what it would take to explain it away.
func told(c *results.Comparison) results.Line {
	text := wording.Sentence(c.Reading)
	if c.Primary { // the direction may be told beside it, of all courses
		text = "Declared beforehand: " + wording.Lower(text)
	}
	return results.Line{Role: results.Item, Text: text, See: []string{"comparison.against"}}
}

// split lists the comparisons that were judged and those that were not, by index.
func split(r *results.Results) (judged, not []int) {
	for i := range r.Comparisons {
		if r.Comparisons[i].Verdict == results.NotComparable {
			not = append(not, i)
		} else {
			judged = append(judged, i)
		}
	}
	return judged, not
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "comparisons.arms.mean_planned", Definition: "planned-achieved", Method: "count"},
		{Field: "comparisons.arms.sd_planned", Definition: "planned-achieved", Method: "count"},
		{Field: "comparisons.arms.expression", Definition: "expression", Method: "ratio-cr2"},
		{Field: "comparisons.arms.adjusted_ratio", Definition: "adjusted-mean", Method: "same-mouth"},
		{Field: "comparisons.unadjusted", Definition: "difference-unadjusted", Method: "model-cr2"},
		{Field: "comparisons.adjusted", Definition: "difference-adjusted", Method: "same-mouth"},
		{Field: "comparisons.amounts", Definition: "amounts-compared", Method: "same-mouth"},
		{Field: "comparisons.readings", Definition: "difference-adjusted", Method: "same-mouth"},
		{Field: "comparisons.checks", Definition: "check", Method: "same-mouth"},
		{Field: "comparisons.missing", Definition: "check", Method: "same-mouth"},
		{Field: "comparisons.verdict_level", Definition: "p-adjusted", Method: "planning"},
		{Field: "comparisons.balance", Definition: "standardised-difference", Method: "count"},
		{Field: "comparisons.overlap", Definition: "overlap", Method: "count"},
		{Field: "comparisons.e_value", Definition: "e-value", Method: "e-value"},
		{Field: "comparisons.equivalence", Definition: "equivalence", Method: "two-one-sided"},
		{Field: "comparisons.detectable", Definition: "detectable-difference", Method: "planning"},
		{Field: "comparisons.power", Definition: "power", Method: "planning"},
		{Field: "comparisons.more_cases", Definition: "more-cases", Method: "planning"},
	}
}
