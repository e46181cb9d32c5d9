package attachment

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

const definition = "attachment-difference"

// Question asks whether an attachment went with more of the plan than none.
func Question() ask.Question {
	return ask.Question{
		ID: "attachment", Share: 5,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Attachment = Answer(ctx, p)
			return ctx.Err()
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Attachment} },
		Withhold: withhold,
		Columns:  []results.Column{{Field: "questions.attachment.comparisons", Definition: definition, Method: "same-mouth"}},
		Definitions: func(*results.Settings) []results.Definition {
			return []results.Definition{{
				ID: definition, Term: "attachment against none",
				Formula: "expression of movements with an attachment of either style less that of movements recorded without one, teeth of the same patient and course, adjusted and checked as a style comparison is; in refinements only given the tooth's own earlier course",
				Source:  "as the style difference, same patients",
			}}
		},
		Section: section,
	}
}

func section(r *results.Results) results.Section {
	a := &r.Questions.Attachment
	out := results.Section{ID: "attachment", Title: "Teeth with an attachment against teeth without"}
	if len(a.Comparisons) == 0 {
		return out
	}
	out.Lines = []results.Line{
		between.GroupWords(a.Comparisons, "movements with an attachment", "those without one"),
		{Role: results.Caution, Text: "Exploratory. Attachments are bonded where a movement is expected to be hard: the teeth left without one were expected to move without. " +
			"Movements whose attachment is not recorded are left out (" + wording.Count(a.NotRecorded) + ")."},
	}
	out.Exhibits = between.GroupExhibits("attachment", "With an attachment against without, difference in expression", "attachment or none", definition, a.Comparisons, r.Provenance.Settings.Level)
	return out
}
