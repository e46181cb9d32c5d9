package methoderror

import (
	"context"

	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks how closely movements were measured.
func Question() ask.Question {
	return ask.Question{
		ID: "methoderror",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Repeats = Answer(p)
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{&r.Repeats} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(&p.Settings, r.Repeats) },
		Columns:  columns(), Definitions: definitions, Section: section,
	}
}

// withhold keeps the numbers of pairs and of few cases back; the error stands.
func withhold(s *results.Settings, es []results.MethodError) {
	for i := range es {
		if e := &es[i]; e.Cases < s.MinCellCases {
			e.Pairs, e.Cases, e.Suppressed = 0, 0, true
		}
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "method-error", Term: "method error", Formula: "Dahlberg: root of (sum of squared differences / 2n); method of moments: SD of the differences / root 2; smallest detectable change: 1.96 x root 2 x random error", Source: "Houston 1983, Am J Orthod 83:382-390; Springate 2012, Eur J Orthod 34:158-163"},
		{ID: "below-detectable", Term: "below detectable", Formula: "a difference smaller than the smallest detectable change of the method: no single measurement could show it", Source: "Houston 1983, Am J Orthod 83:382-390"},
	}
}

func section(r *results.Results) results.Section {
	out := results.Section{ID: "methoderror", Title: "Method error"}
	if len(r.Repeats) == 0 {
		out.Lines = []results.Line{{Role: results.Missing, Text: "No movement was measured twice, so the error of the measurement is not known. Measure at least 25 to 30 again (Springate, Eur J Orthod 2012;34:158-163)."}}
		return out
	}
	out.Exhibits = []results.Exhibit{{
		ID: "methoderror.table", Kind: results.TableExhibit, Title: "Second measurements of achieved movements",
		Columns:     []string{"Unit, measured by", "Pairs (cases)", "Bias (" + wording.CI(r.Provenance.Settings.Level) + ")", "P", "Dahlberg", "Method of moments", "ICC", "Smallest detectable"},
		Denominator: "movements measured twice", Method: "agreement", Definition: "method-error",
		Notes: []string{"Dahlberg's error takes bias for random error; the method of moments does not (Springate 2012). A difference below the smallest detectable change cannot be told from measuring twice."},
	}}
	return out
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "repeats", Definition: "method-error", Method: "agreement"},
	}
}
