package report

import (
	"fmt"
	"strings"

	"shortfall/audit"
	"shortfall/audit/results"
)

// oneClinician is a small practice: few cases, so many cells without interval.
func oneClinician() *results.Results {
	r := build(18, 1, results.DefaultSettings())
	r.Scope.Practices = []string{"N1"}
	r.Provenance.Invented = false
	return r
}

// noComparison has no cell in which the styles could be compared.
func noComparison() *results.Results {
	r := build(60, 2, results.DefaultSettings())
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		c.Verdict, c.Reading, c.Balance = results.NotComparable, "", nil
		c.Overlap = results.Overlap{ShareInside: 0.2, Reason: "planned amounts do not overlap enough"}
	}
	return r
}

// emptyQuarter is an audit of a period in which nothing was recorded.
func emptyQuarter() *results.Results {
	r := &results.Results{SchemaVersion: results.SchemaVersion}
	r.Provenance = results.Provenance{Tool: "shortfall", Version: "0.1.0", Settings: results.DefaultSettings()}
	r.Refinements.Mean.Value = results.NotEstimable
	r.Cautions = []string{"A retrospective audit shows association, not cause."}
	audit.Tell(r)
	return r
}

// manyWarnings hangs distinct warnings on every number there is.
func manyWarnings() *results.Results {
	r := build(80, 4, results.DefaultSettings())
	w := func(i, k int) []results.Warning {
		var out []results.Warning
		for j := range k {
			out = append(out, results.Warning{ID: fmt.Sprint("w", (i+j)%37), Text: fmt.Sprintf("warning number %d on this very number, with a text long enough to fill more than a line of the foot of a page when it is set", (i+j)%37), Remedy: "collect more cases, measure the outcome again or audit a longer period"})
		}
		return out
	}
	for i := range r.Expression {
		r.Expression[i].Warnings = w(i, 1+i%3)
		r.Expression[i].OutsideTolerance.Warnings = w(i+5, 1)
	}
	for i := range r.Comparisons {
		r.Comparisons[i].Warnings = w(3*i, 2)
	}
	for i := range r.Findings {
		r.Findings[i].Warnings = w(i, 2)
	}
	r.Refinements.Warnings = w(1, 30)
	r.Warnings = w(2, 37)
	return r
}

// sixtyClinicians is a chain with long names, characters no typeface has, and
// words that cannot be broken.
func sixtyClinicians() *results.Results {
	r := build(240, 60, results.DefaultSettings())
	r.Scope.Practices = nil
	for i := range 60 {
		r.Scope.Practices = append(r.Scope.Practices, fmt.Sprintf("Σ%02d-Thessaloníki-Wrocław", i))
	}
	r.Provenance.Settings.Title = "A very long title 😀 漢字 " + strings.Repeat("Donaudampfschifffahrtsgesellschaft", 6)
	r.Findings[0].Text = strings.Repeat("Οξυγόνοοξυγόνο", 30) + " " + r.Findings[0].Text
	r.Completeness[0].Field = strings.Repeat("start-month-", 12)
	r.Definitions[0].Formula = strings.Repeat("Σ(achieved)/Σ(planned)·", 40)
	for i := range 40 {
		in := r.Provenance.Inputs[0]
		in.Name = fmt.Sprintf("%02d-%s.xlsx", i, strings.Repeat("δεδομένα-", 14))
		r.Provenance.Inputs = append(r.Provenance.Inputs, in)
	}
	return r
}

// shared is the practice as it may leave the house: small cells suppressed.
func shared() *results.Results {
	s := results.DefaultSettings()
	s.Shared = true
	r := build(50, 3, s)
	r.Refinements.ByStyle[0].Suppressed = true
	r.Replanned[1].Suppressed, r.Losses[1].Suppressed, r.Unplanned[0].Suppressed = true, true, true
	for i := range r.Refinements.Distribution {
		if r.Refinements.Distribution[i].Cases < 5 {
			r.Refinements.Distribution[i].Suppressed = true
		}
	}
	return r
}
