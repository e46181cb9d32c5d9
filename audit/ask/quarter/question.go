package quarter

import (
	"context"
	"fmt"
	"strings"

	"shortfall/audit/ask"
	"shortfall/audit/intime"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// Question asks what the quarter of the settings changed.
func Question() ask.Question {
	return ask.Question{
		ID: "quarter",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Quarter = Answer(p)
			return nil
		},
		Part: func(r *results.Results) []any { return []any{r.Questions.Quarter} },
		Withhold: func(p *rows.Set, r *results.Results) {
			if q := r.Questions.Quarter; q != nil {
				intime.Withhold(q, &p.Settings, p.Names)
			}
		},
		Columns: []results.Column{
			{Field: "questions.quarter", Definition: "change-in-time", Method: "model-cr2"},
			{Field: "questions.quarter.refined", Definition: "change-of-cohorts", Method: "share-difference"},
			{Field: "questions.quarter.refined.refinements_per_case", Definition: "change-of-cohorts", Method: "mean-cumulative-count"},
		},
		Definitions: definitions, Findings: findings, Section: section,
	}
}

func definitions(s *results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "change-in-time", Term: "change in time", Formula: "expression of the courses that ended in the later part less that of the earlier part, adjusted between patients for what was recorded but the month of start, and for the months from the start of treatment to the end of the course; a later course that took longer than any that could have ended before is in neither; beyond chance with and without that time; a case with courses in both is one unit; P after Holm over everything that is compared"},
		{ID: "change-of-cohorts", Term: "change of cohorts", Formula: fmt.Sprintf("share of cases with a refinement within %d months of their start among those that reached that time in the later part, less that among those that reached it earlier; cases not followed for so long are left out and counted", s.Questions.HorizonMonths)},
	}
}

func findings(r *results.Results) []results.Finding {
	q := r.Questions.Quarter
	if q == nil || len(q.Sentences) == 0 {
		return nil
	}
	return []results.Finding{{
		Kind: results.ChangedInTime, Text: q.Now.Name + " against everything before it: " + strings.Join(q.Sentences[:min(3, len(q.Sentences))], " "),
		Limits: intime.Limits, Warnings: q.Warnings, Action: "Was the change expected, and what else changed in the quarter?",
		Rests: []results.Basis{{Table: "quarter.table"}},
	}}
}

// section says what the quarter changed; nothing where none is named.
func section(r *results.Results) results.Section {
	q, level := r.Questions.Quarter, wording.Level(r.Provenance.Settings.Level)
	out := results.Section{ID: "quarter", Title: "The quarter against everything before it"}
	if q == nil {
		return out
	}
	out.Title = q.Now.Name + " against everything before it"
	for _, s := range q.Sentences {
		out.Lines = append(out.Lines, results.Line{Text: s, See: []string{"change-in-time"}})
	}
	if q.Now.Cases == 0 {
		out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: "No course that ended in " + q.Now.Name + ", with a meaningful plan and a measured outcome, can be shown.", Warnings: q.Warnings})
		return out
	}
	out.Lines = append(out.Lines, results.Line{Role: results.Caution, Text: intime.Limits, Warnings: q.Warnings})
	if len(q.Cells) == 0 && q.Refined == nil {
		return out
	}
	out.Exhibits = []results.Exhibit{{
		ID: "quarter.table", Kind: results.TableExhibit, Title: q.Now.Name + " against everything before it",
		Columns:     []string{"Measure", "Before, %", q.Now.Name + ", %", "Difference, points (" + level + " CI)", "Cases, before v " + q.Now.Name, "Beyond chance"},
		Denominator: intime.Denominator(q), Method: "model-cr2", Definition: "change-in-time",
		Notes: []string{"Difference: adjusted for what was recorded, clustered by case. Beyond chance: P below the level after Holm over all rows."},
	}}
	return out
}
