package flow

import (
	"context"
	"fmt"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks who and what is in the audit.
func Question() ask.Question {
	return ask.Question{
		ID: "flow",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Flow, r.Excluded, r.Completeness = p.Flow, exclusions(p), Completeness(p)
			r.Flow.Ascertained = Ascertained(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Flow, &r.Excluded, &r.Completeness} },
		Withhold: withhold,
		// Three totals are always printed: the cases logged, those analysed, those
		// completed. Steps of the flow that follow from them cannot be kept back.
		Open:    []string{"Flow.CasesLogged", "FlowStep.Cases", "Exclusion.Cases", "StatusCount.Cases"},
		Columns: columns(), Definitions: definitions, Findings: findings, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "ascertainment", Term: "ascertainment", Formula: "share of the logged cases, all of them started, that contribute an analysed movement", Source: "common practice, no source"},
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "flow", Title: "Who is in it", Lines: []results.Line{ascertainment(&r.Flow)}}
	out.Exhibits = []results.Exhibit{{
		ID: "flow.figure", Kind: results.FigureExhibit, Denominator: "rows read, movements and cases on record", Method: "count",
		Title: "From rows read to movements analysed: " + wording.Of(r.Scope.Movements, "movement") + " in " + wording.Of(r.Scope.Cases, "case"),
		Notes: []string{"A case leaves with its last movement. Rows are counted once a file; one row can hold several movements."},
	}}
	if len(r.Completeness) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "flow.completeness", Kind: results.FigureExhibit, Title: "How much of each field is recorded", Denominator: "records in which the field could be filled", Method: "count",
		})
	}
	if len(r.Excluded) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "flow.excluded", Kind: results.TableExhibit, Title: "Left out, with the reason", Columns: []string{"Reason", "Rows", "Movements", "Cases"},
			Denominator: "rows read, movements and cases on record", Method: "count",
		})
	}
	return out
}

// ascertainment says how many of the logged cases are measured.
func ascertainment(f *results.Flow) results.Line {
	a := &f.Ascertained
	logged := "The case log holds " + wording.Of(f.CasesLogged, "case") + statuses(f.CasesByStatus) + "."
	switch {
	case f.CasesLogged == 0:
		return results.Line{Role: results.Missing, Text: "No started case is logged, so it is not known how many cases the movements should come from."}
	case a.Denominator == 0:
		return results.Line{Text: "How many of the logged cases contribute an analysed movement is too few to show. " + logged, Warnings: a.Warnings}
	}
	return results.Line{Text: fmt.Sprintf("%s of the %s that were started and logged contribute at least one analysed movement (%s). %s",
		wording.Count(a.Numerator), wording.Of(a.Denominator, "case"), wording.Share(a.Numerator, a.Denominator), logged), Warnings: a.Warnings}
}

func statuses(list []results.StatusCount) string {
	var parts []string
	for _, s := range list {
		name := s.Status.String()
		if s.Status == casebook.NoStatus {
			name = "without a status"
		}
		if s.Suppressed {
			parts = append(parts, name+" too few to show")
			continue
		}
		parts = append(parts, wording.Count(s.Cases)+"\u00a0"+name)
	}
	if len(parts) == 0 {
		return ""
	}
	return ": " + strings.Join(parts, ", ")
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "flow.ascertained", Definition: "ascertainment", Method: "share-wilson"},
	}
}
