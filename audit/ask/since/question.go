// Package since asks what changed since an earlier audit: what is new among the records
// against what that audit had seen, verdicts and criteria then and now.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set, what other
// questions print, and the results of the earlier audit, and fills its part of
// results.Results. Without an earlier audit it asks nothing.
package since

import (
	"context"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/intime"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what changed since the earlier audit; nil: there is none.
func Question(e *Earlier) ask.Question {
	return ask.Question{
		ID: "since", Reads: true,
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			if e != nil {
				r.Questions.Since = Answer(p, r, e)
			}
			return nil
		},
		Part:     func(r *results.Results) []any { return []any{r.Questions.Since} },
		Withhold: func(p *rows.Set, r *results.Results) { withhold(r.Questions.Since, &p.Settings, p.Names) },
		Columns: []results.Column{
			{Field: "questions.since_previous", Definition: "change-since", Method: "welch"},
			{Field: "questions.since_previous.records", Definition: "change-in-time", Method: "model-cr2"},
			{Field: "questions.since_previous.records.refined", Definition: "change-of-cohorts", Method: "share-difference"},
			{Field: "questions.since_previous.records.refined.refinements_per_case", Definition: "change-of-cohorts", Method: "mean-cumulative-count"},
		},
		Definitions: definitions, Findings: findings, Section: section,
	}
}

func definitions(*results.Settings) []results.Definition {
	return []results.Definition{{
		ID: "change-since", Term: "change since the audit before",
		Formula: "movements of files that the earlier audit did not read, a corrected one among them, against those of its files as they stand now, as a change in time; else courses that ended after its last month against earlier ones; else the difference of the two audits' values, each with its own standard error, as of independent cases",
		Source:  "Welch 1947, Biometrika 34:28-35",
	}}
}

// withhold takes out what rests on few cases, for results that leave the practice.
func withhold(s *results.Since, set *results.Settings, n wording.Names) {
	if s == nil {
		return
	}
	intime.Withhold(s.Records, set, n)
	if disclose.Small(set, s.PreviousCases) {
		s.PreviousCases = 0
	}
	Say(s, set, n)
}

func findings(r *results.Results) []results.Finding {
	s := r.Questions.Since
	if s == nil || len(s.Sentences) == 0 {
		return nil
	}
	return []results.Finding{{
		Kind: results.ChangedInTime, Text: "Since the audit of " + s.PreviousDate + ": " + strings.Join(s.Sentences[:min(2, len(s.Sentences))], " "),
		Limits: intime.Limits, Warnings: s.Warnings, Action: "Was the change expected, and does the run chart show when it began?",
		Rests: []results.Basis{{Table: "since.table"}},
	}}
}

func section(r *results.Results) results.Section {
	s := r.Questions.Since
	out := results.Section{ID: "since", Title: "What changed since an earlier audit"}
	if s == nil {
		return out
	}
	level := wording.Level(r.Provenance.Settings.Level)
	out.Title = "What changed since the audit of " + s.PreviousDate
	for _, x := range s.Sentences {
		out.Lines = append(out.Lines, results.Line{Text: x, See: []string{"change-since"}})
	}
	out.Lines = append(out.Lines, results.Line{Role: results.Caution, Text: intime.Limits, Warnings: append(s.Warnings, s.Records.Warnings...)})
	method := "model-cr2"
	if s.Told == results.NotTold {
		method = "welch"
	}
	out.Exhibits = append(out.Exhibits, results.Exhibit{
		ID: "since.table", Kind: results.TableExhibit, Title: out.Title,
		Columns:     []string{"Measure", "Before, %", "Now, %", "Difference, points (" + level + " CI)", "Cases, before v now", "Beyond chance"},
		Denominator: parts[s.Told] + ": " + intime.Denominator(s.Records), Method: method, Definition: "change-since",
		Notes: []string{"Beyond chance: P below the level after Holm over all rows."},
	})
	if len(s.Verdicts) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "since.verdicts", Kind: results.TableExhibit, Title: "Comparisons of styles with another verdict now", Columns: []string{"Comparison", "Verdict then", "Verdict"},
			Denominator: "comparisons made in both audits", Method: "same-mouth", Definition: "verdict",
			Notes: []string{"Another verdict is not a difference of the two: more cases alone can make one."},
		})
	}
	return out
}

// parts say what was set against what.
var parts = map[results.Told]string{
	results.ToldByFiles:  "movements of files that the earlier audit did not read, against those of its files as they stand now",
	results.ToldByMonths: "courses that ended after the last month of the earlier audit, against those that had ended by then, all as they stand in these files",
	results.NotTold:      "the numbers of both audits, taken as independent",
}
