package staging

import (
	"context"
	"fmt"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks whether movements planned together did worse than one after another.
func Question() ask.Question {
	return ask.Question{
		ID: "staging", Share: 11,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Staging = Answer(ctx, p)
			return ctx.Err()
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Staging} },
		Withhold: func(p *rows.Set, r *results.Results) { Withhold(p, &r.Questions.Staging) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

func definitions(s *results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "compound-load", Term: "compound load", Formula: fmt.Sprintf("sum over the axes of a tooth in one course of planned amount / tolerance; listed with two or more movements of at least %g mm or %g°", s.Questions.LargeMM, s.Questions.LargeDeg), Source: "sizes: inclusion criteria of Simon et al. 2014, BMC Oral Health 14:68"},
	}
}

// mostLoads teeth are listed; the workbook has all.
const mostLoads = 8

func section(r *results.Results) results.Section {
	s, set := &r.Questions.Staging, &r.Provenance.Settings
	out := results.Section{ID: "staging", Title: "Combined or sequenced movements"}
	if len(s.Comparisons) == 0 && s.Teeth == 0 {
		return out
	}
	out.Lines = append(out.Lines, between.GroupWords(s.Comparisons, "combined movements", "sequenced ones"))
	out.Exhibits = append(out.Exhibits, between.GroupExhibits("staging", "Combined against sequenced movements, difference in expression", "staging", "compound-load", s.Comparisons, set.Level)...)
	if s.Teeth > 0 {
		times := "Once"
		if s.Teeth > 1 {
			times = wording.Count(s.Teeth) + " times"
		}
		out.Lines = append(out.Lines, results.Line{Text: fmt.Sprintf("%s, in %s, a tooth had two or more large movements planned in one course. %s", times, wording.Of(s.TeethCases, "case"), s.Definition), See: []string{"compound-load"}})
	}
	if n := len(s.Loads); n > 0 {
		e := results.Exhibit{
			ID: "staging.loads", Kind: results.TableExhibit, Title: "Teeth with two or more large movements in one course, heaviest first",
			Columns:     []string{"Case", "Course", "Tooth", "Planned", "Staging", "Load", "Left over", "Outside"},
			Denominator: "teeth with two or more large movements planned in one course", Method: "count", Definition: "compound-load", Sheet: "heaviest teeth",
			Notes: []string{"Load and what was left over, in tolerances; movements not measured are left out of the latter. Outside: movements outside tolerance."},
		}
		for i := range min(mostLoads, n) {
			e.Rows = append(e.Rows, i)
		}
		if e.Left = n - len(e.Rows); e.Left > 0 {
			e.Notes = append(e.Notes, fmt.Sprintf("The %d heaviest are listed, %d more are %s.", mostLoads, e.Left, wording.OnSheet("heaviest teeth")))
		}
		out.Exhibits = append(out.Exhibits, e)
	}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.staging", Definition: "compound-load", Method: "count"},
		{Field: "questions.staging.comparisons", Definition: "difference-adjusted", Method: "same-mouth"},
	}
}
