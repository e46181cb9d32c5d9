package byplan

import (
	"context"
	"fmt"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what plans of like size came to.
func Question() ask.Question {
	return ask.Question{
		ID: "byplan",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.ByPlan = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.ByPlan} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(p, r.Questions.ByPlan, r.Expression) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "by-plan", Term: "planned against achieved", Formula: "plans of an axis cut at their quartiles over all styles (rounded to 0.1 mm, 1 degree); medians of planned and achieved and the quartiles of achieved (type 7) by style, first sets", Source: "Hyndman & Fan 1996, Am Stat 50:361-365"},
	}
}

func section(r *results.Results) results.Section {
	bins, set := r.Questions.ByPlan, &r.Provenance.Settings
	out := results.Section{ID: "byplan", Title: "Planned against achieved, by size of plan"}
	e := results.Exhibit{
		ID: "byplan.figure", Kind: results.FigureExhibit, Title: "Planned against achieved in first sets, by size of plan and style",
		Denominator: "analysed movements of first sets with the style recorded", Method: "quartiles", Definition: "by-plan", Sheet: "planned and achieved",
		Notes: []string{"A mark is a quarter of the plans of its axis, small to large, under one style: median planned and median achieved. The higher of two marks above one another achieved more of like plans; nothing else is adjusted for."},
	}
	for i := range bins {
		if !bins[i].Suppressed && bins[i].Low.OK() {
			e.Rows = append(e.Rows, i)
		}
	}
	if len(e.Rows) == 0 {
		return out
	}
	if e.Left = len(bins) - len(e.Rows); e.Left > 0 {
		e.Notes = append(e.Notes, fmt.Sprintf("Not drawn: marks of fewer than %d cases.", set.MinIntervalCases))
	}
	e.Notes = append(e.Notes, "Numbers: "+wording.OnSheet("planned and achieved")+".")
	out.Exhibits = []results.Exhibit{e}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.by_plan", Definition: "by-plan", Method: "quartiles"},
	}
}
