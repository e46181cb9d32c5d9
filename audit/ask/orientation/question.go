package orientation

import (
	"context"
	"fmt"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks whether the orientation of the attachment went with the result.
func Question() ask.Question {
	return ask.Question{
		ID: "orientation", Share: 2,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Fit = Answer(ctx, p)
			return ctx.Err()
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Fit} },
		Withhold: func(p *rows.Set, r *results.Results) { Withhold(p, &r.Questions.Fit) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

func definitions(s *results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "orientation-table", Term: "orientation table", Formula: "orientation of the attachment's long edge that is square to the movement", Source: s.Questions.FitSource},
	}
}

func section(r *results.Results) results.Section {
	s, set := &r.Questions.Fit, &r.Provenance.Settings
	out := results.Section{ID: "orientation", Title: "Orientation of the attachment against the movement"}
	if len(s.Comparisons) == 0 {
		return out
	}
	out.Lines = append(out.Lines, results.Line{
		Text: "Taken as square to the movement is a long edge that is " + rulesText(s.Table) + "; any other goes against this table (" + strings.TrimSuffix(wording.Lower(s.TableSource), ".") + ").", See: []string{"orientation-table"},
	}, between.GroupWords(s.Comparisons, "attachments that go with the table", "those that go against it"))
	out.Exhibits = append(out.Exhibits, between.GroupExhibits("orientation", "Long edge square to the movement, or not, difference in expression", "orientation", "orientation-table", s.Comparisons, set.Level)...)
	if len(s.Against) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "orientation.against", Kind: results.TableExhibit, Title: "Records that go against the table",
			Columns:     []string{"Axis", "Long edge recorded", "Style", "Cases / movements"},
			Denominator: "analysed movements with an attachment whose orientation is recorded and judged", Method: "count", Definition: "orientation-table",
			Notes: []string{fmt.Sprintf("Movements with an attachment that are not judged: %s without an orientation, %s the table is silent on.", wording.Count(s.NotRecorded), wording.Count(s.NoRule))},
		})
	}
	return out
}

func rulesText(table []results.FitRule) string {
	var rules []string
	for _, r := range table {
		name := r.Axis.String()
		switch {
		case r.Direction != casebook.NoDirection:
			name = r.Direction.String()
		case r.Axis == casebook.Vertical:
			name = "extrusion and intrusion"
		}
		rules = append(rules, fmt.Sprintf("%s for %s", r.Orientation, name))
	}
	return strings.Join(rules, ", ")
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.feature_fit.comparisons", Definition: "orientation-table", Method: "same-mouth"},
	}
}
