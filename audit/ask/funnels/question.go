package funnels

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks how far clinicians and practices lie apart, by code.
func Question() ask.Question {
	return ask.Question{
		ID: "funnels", Share: 2,
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Funnels = Answer(p)
			return nil
		},
		Part: func(r *results.Results) []any { return []any{&r.Questions.Funnels} },
		Withhold: func(p *rows.Set, r *results.Results) {
			r.Questions.Funnels = answerUnder(p, disclose.SmallNumbers(&p.Settings))
			if !p.Settings.WithClinicians {
				r.Questions.Funnels = slices.DeleteFunc(r.Questions.Funnels, func(f results.Funnel) bool { return f.Units == clinicians })
			}
		},
		Columns: columns(), Definitions: definitions, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "funnel-limits", Term: "funnel limits", Formula: "exact binomial, interpolated, at number / design effect; widened by overdispersion (z winsorised at 10 %) where that is beyond chance", Source: "Spiegelhalter 2005, Stat Med 24:1185-1202"},
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "funnels", Title: "Clinicians and practices"}
	var shown []int
	for i := range r.Questions.Funnels {
		f := &r.Questions.Funnels[i]
		switch {
		case f.Shown:
			shown = append(shown, i)
			out.Exhibits = append(out.Exhibits, figure(f, i))
		case f.Suppressed:
			out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: wording.Capital(f.Measure) + ", by " + f.Units + ": " + f.Reason + "."})
		}
	}
	if len(shown) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "funnels.table", Kind: results.TableExhibit, Title: "Clinicians and practices, by code",
			Columns: []string{"Code", "Cases", "Events / all", "%", "Limits"}, Rows: shown,
			Denominator: "cases or movements with the measure known, of units with enough cases", Method: "funnel-binomial", Definition: "funnel-limits",
			Notes: []string{"In order of code."},
		})
	}
	if len(r.Questions.Funnels) > 0 && r.Provenance.Settings.HidesClinicians() {
		out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: "Clinicians are left out of a report that leaves the practice, unless their codes are asked for."})
	}
	if len(out.Exhibits) > 0 {
		out.Lines = append([]results.Line{{Text: "Codes only, in no order of merit. The limits are how far apart units of that size would lie by chance alone; they are not adjusted for case mix. Where one lies outside, check data and case mix first.", See: []string{"funnel-limits"}}}, out.Lines...)
	}
	return out
}

func figure(f *results.Funnel, i int) results.Exhibit {
	e := results.Exhibit{
		ID: fmt.Sprintf("funnels.figure-%d", i), Kind: results.FigureExhibit, Rows: []int{i}, See: []string{"funnels.table"},
		Title:       fmt.Sprintf("%s, by %s: %s together", wording.Capital(f.Measure), f.Units, wording.Percent(f.Target)),
		Denominator: wording.Lower(f.Measure), Method: "funnel-binomial", Definition: "funnel-limits",
		Notes: []string{f.Reading},
	}
	var codes []string
	for _, p := range f.Points {
		if p.Beyond95 {
			codes = append(codes, p.Code)
		}
	}
	if len(codes) > 0 {
		e.Notes = append(e.Notes, "Outside the 95 % limits, in order of code: "+strings.Join(codes, ", ")+".")
	}
	e.Notes = append(e.Notes, wording.Sentence(f.Method), fmt.Sprintf("Overdispersion %s.", wording.Fixed(f.Phi, 1)))
	if f.LeftOut > 0 {
		e.Notes = append(e.Notes, fmt.Sprintf("Left out for too few cases: %s.", wording.Of(f.LeftOut, f.Units)))
	}
	switch {
	case f.UnknownSuppressed:
		e.Notes = append(e.Notes, "Cases without a code: too few to show.")
	case f.Unknown > 0:
		e.Notes = append(e.Notes, fmt.Sprintf("Without a code: %s.", wording.Of(f.Unknown, "case")))
	}
	return e
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.funnels", Definition: "funnel-limits", Method: "funnel-binomial"},
	}
}
