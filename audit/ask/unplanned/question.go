package unplanned

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// Question asks what moved where next to nothing was planned.
func Question() ask.Question {
	return ask.Question{
		ID: "unplanned",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Unplanned = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Unplanned} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(&p.Settings, r.Unplanned) },
		Columns:  columns(), Definitions: func(*results.Settings) []results.Definition { return nil }, Section: section,
	}
}

// withhold keeps axes with few cases back.
func withhold(s *results.Settings, us []results.Unplanned) {
	for i := range us {
		if u := &us[i]; u.Cases < s.MinCellCases {
			*u = results.Unplanned{Axis: u.Axis, Unit: u.Unit, MeanAbs: results.NotEstimable, Outside: measure.NoShare(), Suppressed: true}
		} else if disclose.CasesTold(u.Cases, u.Outside.Numerator, u.Outside.Denominator) < s.MinCellCases {
			u.Outside = disclose.NoShare(s)
		}
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "unplanned", Title: "Movement that was not planned"}
	if len(r.Unplanned) == 0 {
		return out
	}
	out.Exhibits = []results.Exhibit{{
		ID: "unplanned.table", Kind: results.TableExhibit, Title: "Movement where less than the smallest meaningful amount was planned",
		Columns:     []string{"Axis", "Cases / movements", "Mean amount moved", "Outside tolerance"},
		Denominator: "movements with a measured outcome and a plan of zero or below the smallest meaningful amount", Method: "share-clustered", Definition: "smallest-plan",
	}}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "unplanned.mean_abs_achieved", Definition: "smallest-plan", Method: "count"},
		{Field: "unplanned.outside_tolerance", Definition: "outside-tolerance", Method: "share-clustered"},
	}
}
