package bounds

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// Question asks what the expression would be had the missing outcomes failed, or not.
func Question() ask.Question {
	return ask.Question{
		ID: "bounds",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Bounds = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Bounds} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(p, r.Bounds, r.Expression) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "bounds", Term: "best and worst case", Formula: "expression with every missing outcome set to nothing expressed, and to all expressed; movement the wrong way and overshoot lie outside these", Source: "Little & Rubin 2019, Statistical Analysis with Missing Data, 3rd ed. (bounds)"},
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "bounds", Title: "If the missing outcomes were known"}
	if len(r.Bounds) == 0 {
		return out
	}
	out.Exhibits = []results.Exhibit{{
		ID: "bounds.table", Kind: results.TableExhibit, Title: "If every planned movement without a measured outcome had failed, or had succeeded",
		Columns:     []string{"Direction", "Course", "Cases / movements", "Missing", "Worst", "Observed", "Best"},
		Denominator: "movements planned to a meaningful amount, measured or not", Method: "bounds", Definition: "bounds",
		Notes: []string{"Expression. Worst: nothing was expressed; best: all that was planned."},
	}}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "bounds", Definition: "bounds", Method: "bounds"},
	}
}
