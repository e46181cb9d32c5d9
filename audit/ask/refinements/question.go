package refinements

import (
	"context"
	"fmt"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what the shortfall cost in refinements.
func Question() ask.Question {
	return ask.Question{
		ID: "refinements",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Refinements = answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Refinements} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(p, &r.Refinements) },
		Open:     []string{"Refinements.Cases"}, // the completed cases, one of the three totals always printed
		Columns:  columns(), Definitions: definitions, Findings: findings, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "refinements", Term: "refinements", Formula: "courses after the initial one, of completed cases; mean with t interval, shares with Wilson interval, cases taken as independent", Source: "Wilson 1927, J Am Stat Assoc 22:209-212"},
		{ID: "refinement-rate-ratio", Term: "refinement rate ratio", Formula: "refinements a case with mainly clinician-designed over mainly software-suggested initial attachments, where either has ten refinements or more; Poisson regression with CR2 variance; a difference between patients that decides nothing", Source: "McCullagh & Nelder 1989, Generalized Linear Models, 2nd ed.; McCaffrey & Bell 2006, Stat Med 25:4081-4098"},
	}
}

func section(r *results.Results) results.Section {
	f, level := &r.Refinements, wording.Level(r.Provenance.Settings.Level)
	out := results.Section{ID: "refinements", Title: "What it cost"}
	if f.Cases == 0 {
		out.Lines = []results.Line{{Role: results.Missing, Text: "No completed case with its refinements is on record, so they cannot be counted.", Warnings: f.Warnings}}
		return out
	}
	out.Lines = append(out.Lines, results.Line{Text: meanText(f, level), Warnings: append(append([]results.Warning{}, f.Warnings...), f.AtLeastOne.Warnings...), See: []string{"refinements"}})
	if f.RateRatio.Difference.OK() {
		out.Lines = append(out.Lines, results.Line{
			Text: wording.TidyP(fmt.Sprintf("Cases whose initial attachments were mainly clinician-designed had %s times the refinements of those with mainly software-suggested ones, adjusted for %s (%s); unadjusted %s times%s. It compares patients and decides nothing: those who respond poorly may get both more designs and more refinements.",
				wording.Fixed(f.RateRatio.Difference, 2), wording.List(f.Adjusters), rateLimits(&f.RateRatio, level), wording.Fixed(f.RateUnadj.Difference, 2), unadjustedLimits(&f.RateUnadj))), See: []string{"refinement-rate-ratio"},
		})
	}
	const of = "completed cases whose courses, or own count of refinements, are on record"
	columns := []string{"Main style of the first attachments", "Cases", "Refinements a case (" + wording.CI(r.Provenance.Settings.Level) + ")"}
	for _, b := range f.Distribution {
		columns = append(columns, b.Label)
	}
	out.Exhibits = []results.Exhibit{{
		ID: "refinements.figure", Kind: results.FigureExhibit,
		Title:       fmt.Sprintf("%s of %s needed at least one refinement; by the main style of the initial attachments", wording.Share(f.AtLeastOne.Numerator, f.AtLeastOne.Denominator), wording.Of(f.Cases, "completed case")),
		Denominator: of, Method: "share-wilson", Definition: "refinements",
		Notes: []string{"Refinements after the first set; bars are shares of the panel's cases, figures on them are cases."},
	}, {
		ID: "refinements.table", Kind: results.TableExhibit, Title: "Completed cases by number of refinements, with their shares", Columns: columns,
		Denominator: of, Method: "share-wilson", Definition: "refinements", Sheet: "refinements",
	}}
	return out
}

// rateLimits are those of a ratio of rates, with its P; where the fit gives none, that.
func rateLimits(d *results.Difference, level string) string {
	if !d.Low.OK() || !d.High.OK() {
		return "no interval can be given"
	}
	s := fmt.Sprintf("%s CI %s to %s", level, wording.Fixed(d.Low, 2), wording.Fixed(d.High, 2))
	if d.P.OK() {
		s += "; P = " + wording.P(d.P)
	}
	return s
}

func unadjustedLimits(d *results.Difference) string {
	if !d.Low.OK() || !d.High.OK() {
		return ""
	}
	return fmt.Sprintf(" (%s to %s)", wording.Fixed(d.Low, 2), wording.Fixed(d.High, 2))
}

func meanText(f *results.Refinements, level string) string {
	var parts []string
	if f.Mean.Value.OK() {
		text := fmt.Sprintf("needed %s refinements on average", wording.Fixed(f.Mean.Value, 1))
		if f.Mean.Low.OK() && f.Mean.High.OK() {
			text += fmt.Sprintf(" (%s CI %s to %s)", level, wording.Fixed(f.Mean.Low, 1), wording.Fixed(f.Mean.High, 1))
		}
		parts = append(parts, text)
	}
	if f.AtLeastOne.Value.OK() {
		text := wording.Share(f.AtLeastOne.Numerator, f.AtLeastOne.Denominator) + " needed at least one"
		if f.AtLeastOne.Low.OK() && f.AtLeastOne.High.OK() {
			text += fmt.Sprintf(" (%s CI %s %%)", level, wording.Limits(f.AtLeastOne.Low, f.AtLeastOne.High))
		}
		parts = append(parts, text)
	}
	if len(parts) == 0 {
		return "How many refinements the " + wording.Of(f.Cases, "completed case") + " needed is withheld."
	}
	if f.Mean.Value.OK() {
		return "The " + wording.Of(f.Cases, "completed case") + " " + strings.Join(parts, "; ") + "."
	}
	return "Of " + wording.Of(f.Cases, "completed case") + ", " + parts[0] + "."
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "refinements", Definition: "refinements", Method: "share-wilson"},
		{Field: "refinements.mean", Definition: "refinements", Method: "mean-cr2"},
		{Field: "refinements.by_style.rate", Definition: "refinements", Method: "mean-cr2"},
		{Field: "refinements.rate_ratio", Definition: "refinement-rate-ratio", Method: "poisson-cr2"},
		{Field: "refinements.rate_ratio_unadjusted", Definition: "refinement-rate-ratio", Method: "poisson-cr2"},
	}
}
