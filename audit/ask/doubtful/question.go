package doubtful

import (
	"context"
	"fmt"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks which amounts cannot be right.
func Question() ask.Question {
	return ask.Question{
		ID: "doubtful", Reads: true,
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Doubtful = answer(p, r.Comparisons)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Doubtful} },
		Withhold: func(_ *rows.Set, r *results.Results) { withhold(&r.Questions.Doubtful) },
		Columns: []results.Column{
			{Field: "questions.doubtful", Definition: "doubtful-amount", Method: "count"},
		},
		Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{{
		ID: "doubtful-amount", Term: "amount that cannot be right",
		Formula: "achieved beyond 3 times the plan, or beyond 2 times against it; planned or achieved at least ten times the median plan of its class of tooth along its axis (of all teeth where there are fewer than eight). Nothing is left out for it; a difference of styles is called only where it stands without such amounts too, whether or not somebody confirmed them on reading",
		Source:  "convention of this audit",
	}}
}

func section(r *results.Results) results.Section {
	a := &r.Questions.Doubtful
	out := results.Section{ID: "doubtful", Title: "Amounts that cannot be right"}
	if a.Amounts == 0 {
		return out
	}
	text := wording.Of(a.Amounts, "movement") + " can hardly be right as recorded, for a misplaced decimal, another unit or a wrong sign as it seems. They are counted as they stand; look at the cells and correct them."
	switch confirmed := a.Confirmed; {
	case confirmed == a.Amounts && a.Amounts == 1:
		text = "One movement can hardly be right as recorded; somebody confirmed it on reading, and it is counted as it stands."
	case confirmed == a.Amounts:
		text = wording.Of(a.Amounts, "movement") + " can hardly be right as recorded; somebody confirmed them all on reading, and they are counted as they stand."
	case confirmed > 0:
		text += fmt.Sprintf(" Of them %d were confirmed on reading.", confirmed)
	}
	out.Lines = []results.Line{{Role: results.Caution, Text: text, See: []string{"doubtful-amount"}}}
	if len(a.List) == 0 {
		return out
	}
	e := results.Exhibit{
		ID: "doubtful.table", Kind: results.TableExhibit, Title: "Amounts that cannot be right, and what rests on them", Sheet: "doubtful amounts",
		Columns:     []string{"Movement", "Planned", "Achieved", "Why", "Rests on it"},
		Denominator: "movements on record with numbers that can be read", Method: "count", Definition: "doubtful-amount",
		Notes: []string{"Amounts with their sign as recorded."},
	}
	for i := range a.List {
		e.Rows = append(e.Rows, i)
	}
	out.Exhibits = []results.Exhibit{e}
	return out
}
