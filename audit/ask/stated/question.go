package stated

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what the percentages say that a practice computed itself.
func Question() ask.Question {
	return ask.Question{
		ID: "stated",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Stated = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Stated} },
		Withhold: withhold,
		Columns: []results.Column{
			{Field: "questions.stated.cells", Definition: "stated-percentage", Method: "ratio-cr2"},
		},
		Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{{
		ID: "stated-percentage", Term: "stated percentage",
		Formula: "a percentage of the plan that the practice computed itself, where no achieved amount is on record: achieved is derived as planned times percentage, total over total. Such movements enter no other table",
		Source:  "convention of this audit",
	}}
}

// section says what the stated percentages add up to, where there are any.
func section(r *results.Results) results.Section {
	out := results.Section{ID: "stated", Title: "Percentages as the practice states them"}
	cells := r.Questions.Stated.Cells
	if len(cells) == 0 {
		return out
	}
	out.Lines = []results.Line{{
		Role: results.Caution, See: []string{"stated-percentage"},
		Text: "For some movements the records hold a plan and a percentage, and no achieved amount. What follows is derived from those percentages and was not measured for this audit; it enters no comparison and no other table.",
	}}
	e := results.Exhibit{
		ID: "stated.table", Kind: results.TableExhibit, Title: "Expression derived from stated percentages (not measured)", Sheet: "stated percentages",
		Columns:     []string{"Movement", "Cases / movements", "Derived expression, % (" + wording.CI(r.Provenance.Settings.Level) + ")"},
		Denominator: "movements with a plan, a stated percentage and no achieved amount", Method: "ratio-cr2", Definition: "stated-percentage",
		Notes: []string{"How each percentage was computed is not on record; rounding, and outcomes the practice left out, cannot be seen."},
	}
	for i := range cells {
		e.Rows = append(e.Rows, i)
	}
	out.Exhibits = []results.Exhibit{e}
	return out
}
