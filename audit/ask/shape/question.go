package shape

import (
	"context"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks whether shape and size of the attachment went with the result.
func Question() ask.Question {
	return ask.Question{
		ID: "shape", Share: 7,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Shape = Answer(ctx, p)
			return ctx.Err()
		},
		Part:     func(r *results.Results) []any { return []any{&r.Questions.Shape} },
		Withhold: func(p *rows.Set, r *results.Results) { Withhold(p, &r.Questions.Shape) },
		Columns: []results.Column{
			{Field: "questions.shape.shapes", Definition: "shape-difference", Method: "same-mouth"},
			{Field: "questions.shape.sizes", Definition: "size-slope", Method: "same-mouth"},
		},
		Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{
			ID: "shape-difference", Term: "shape against shape",
			Formula: "expression with attachments of one shape less that with the commonest shape of the direction and course, teeth of the same patient and course, adjusted and checked as a style comparison is, and for the style; for the size where every one is recorded",
			Source:  "as the style difference, same patients",
		},
		{
			ID: "size-slope", Term: "size of the attachment",
			Formula: "change of expression with 1 mm more of the attachment's longest side, a straight line, among teeth of the same patient and course; adjusted and checked as a style comparison is, and for style and shape; larger and smaller are those above and up to the median size",
			Source:  "as the style difference, same patients",
		},
	}
}

func section(r *results.Results) results.Section {
	a, level := &r.Questions.Shape, r.Provenance.Settings.Level
	out := results.Section{ID: "shape", Title: "Shape and size of the attachment"}
	if len(a.Shapes)+len(a.Sizes) == 0 {
		return out
	}
	if len(a.Shapes) > 0 {
		out.Lines = append(out.Lines, between.GroupWords(a.Shapes, "each shape", "the commonest of its direction"))
		out.Exhibits = append(out.Exhibits, between.GroupExhibits("shape.shapes", "One shape against the commonest, difference in expression", "shapes", "shape-difference", a.Shapes, level)...)
	}
	if len(a.Sizes) > 0 {
		out.Lines = append(out.Lines, between.GroupWords(a.Sizes, "larger attachments", "smaller ones, by the millimetre"))
		out.Exhibits = append(out.Exhibits, between.GroupExhibits("shape.sizes", "Expression with 1 mm more of attachment", "sizes", "size-slope", a.Sizes, level)...)
	}
	if words := OwnWords(r.Provenance.Words); words != "" {
		out.Lines = append(out.Lines, results.Line{Text: "In the sheets' own words: " + words + "."})
	}
	out.Lines = append(out.Lines, results.Line{Role: results.Caution, Text: "Exploratory. Shape and size follow the tooth and the movement they are chosen for. Left out are attachments of another or no recorded shape (" +
		wording.Of(a.ShapeNotRecorded, "movement") + ") and of no recorded size (" + wording.Count(a.SizeNotRecorded) + ")."})
	return out
}

// OwnWords are the words of the sheets for each shape: "block is “bevelled block” (12)".
func OwnWords(words []casebook.WordRead) string {
	var parts []string
	for i, w := range words {
		if w.Column != "attachment shape" {
			continue
		}
		said := "“" + w.Said + "” (" + wording.Of(w.Rows, "row") + ")"
		if w.Said == "" {
			said = "words of the practice's own (" + wording.Of(w.Rows, "row") + ")"
		}
		if i > 0 && words[i-1].Column == w.Column && words[i-1].Means == w.Means {
			parts[len(parts)-1] += ", " + said
			continue
		}
		parts = append(parts, w.Means+" is "+said)
	}
	return strings.Join(parts, "; ")
}
