package replanned

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// Question asks which planned movements had to be planned again.
func Question() ask.Question {
	return ask.Question{
		ID: "replanned",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Replanned = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Replanned} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(p, r.Replanned) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

// denominator of the shares; Answer counts exactly these, and so do caption and
// definition.
const denominator = "movements planned to a meaningful amount in the initial course of completed cases, style recorded"

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "planned-again", Term: "planned again", Formula: "share of the " + denominator + ", whose tooth and axis were planned again so in the same direction in the next course; cases without a next course count, as not planned again", Source: "convention of this audit"},
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "replanned", Title: "Planned again"}
	if len(r.Replanned) == 0 {
		return out
	}
	out.Exhibits = []results.Exhibit{{
		ID: "replanned.table", Kind: results.TableExhibit, Title: "Planned again: movements asked for again, in the same direction, in the next course",
		Columns: []string{"Axis"}, Denominator: denominator, Method: "share-clustered", Definition: "planned-again",
		Notes: []string{"Movements planned again / " + denominator + "."},
	}}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "replanned.again", Definition: "planned-again", Method: "share-clustered"},
	}
}
