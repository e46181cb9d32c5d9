package cycle

import (
	"context"
	"fmt"
	"slices"

	"shortfall/audit/ask"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks how the practice stands against what it declared.
func Question() ask.Question {
	return ask.Question{
		ID: "cycle",
		Answer: func(_ context.Context, p *rows.Set, r *results.Results) error {
			r.Questions.Reaudit = Answer(p)
			return nil
		},
		Part: func(r *results.Results) []any { return []any{&r.Questions.Reaudit} },
		Withhold: func(p *rows.Set, r *results.Results) {
			r.Questions.Reaudit = answerUnder(p, disclose.SmallNumbers(&p.Settings))
		},
		Columns: columns(), Definitions: definitions,
		Findings: findings, Section: section,
	}
}

func definitions(s *results.Settings) []results.Definition {
	return []results.Definition{
		{ID: "criterion", Term: "criterion", Formula: "met, or not met, where the whole interval lies on one side of the target; else not enough data; expression over all movements counts millimetres and degrees in units of their tolerance"},
		{ID: "control-limits", Term: "control limits", Formula: fmt.Sprintf("centre of the declared baseline (at least %d quarters with data) ± 3 x root of (spread between cases within quarters / size of the quarter), shares not below the binomial spread", s.Questions.BaselineQuarters), Source: "Shewhart 1931, Economic Control of Quality of Manufactured Product; spread as in Laney 2002, Quality Engineering 14:531-537; rules: Nelson 1984, J Qual Technol 16:237-239"},
		{ID: "step-at-a-protocol-change", Term: "step at a protocol change", Formula: "segmented regression: level and trend before, step and change of trend at the month of the change, clustered by case", Source: "Wagner et al. 2002, J Clin Pharm Ther 27:299-309"},
	}
}

func section(r *results.Results) results.Section {
	q, level := &r.Questions.Reaudit, wording.Level(r.Provenance.Settings.Level)
	out := results.Section{ID: "cycle", Title: "Against the practice's own criteria"}
	if len(q.Criteria) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "cycle.criteria", Kind: results.TableExhibit, Title: "Criteria declared in " + q.File,
			Columns:     []string{"Criterion", "Target", "Observed (" + level + " CI)", "Cases / movements", "Answer"},
			Denominator: "what each criterion names, from its month on", Method: "criterion", Definition: "criterion",
			Notes: criteriaNotes(q.Criteria),
		})
	}
	for i := range q.Criteria {
		c := &q.Criteria[i]
		switch {
		case len(c.Chart.Points) == 0:
		case !slices.ContainsFunc(c.Chart.Points, func(p results.RunPoint) bool { return p.Value.OK() }):
			out.Lines = append(out.Lines, results.Line{Role: results.Missing, Text: wording.Sentence(c.Reading) + " No quarter can be shown.", Warnings: c.Chart.Warnings})
		default:
			out.Exhibits = append(out.Exhibits, runExhibit(c, i))
		}
	}
	if len(q.Changes) > 0 {
		out.Exhibits = append(out.Exhibits, results.Exhibit{
			ID: "cycle.changes", Kind: results.TableExhibit, Title: "Protocol changes: courses begun before the change and from it on",
			Columns:     []string{"Criterion", "Before", "After", "Cases, before v after", "Difference (" + level + " CI)", "Step (" + level + " CI)"},
			Denominator: "what each criterion names, with the month its course began", Method: "segmented", Definition: "step-at-a-protocol-change",
			Notes: []string{"Difference: after minus before, clustered by case. Step: the jump at the change once the trend by quarter before and after is taken out (segmented regression). Other things may have changed at the same time."},
		})
	}
	for i := range q.Changes {
		out.Lines = append(out.Lines, results.Line{Text: wording.Sentence(q.Changes[i].Reading), Warnings: q.Changes[i].Warnings, See: []string{"cycle.changes"}})
	}
	if len(q.Actions) > 0 {
		out.Exhibits = append(out.Exhibits, actionsExhibit("cycle.actions", "Actions"))
	}
	return out
}

// criteriaNotes say how the answers are found.
func criteriaNotes(criteria []results.CriterionResult) []string {
	notes := []string{"Met, or not met, only where the whole interval lies on one side of the target; else there is not enough data to say."}
	if slices.ContainsFunc(criteria, func(c results.CriterionResult) bool {
		return c.Criterion.Measure == results.ExpressionRatio && c.Criterion.AxisMeant() == casebook.NoAxis
	}) {
		notes = append(notes, "Achieved of all that was planned: millimetres and degrees each in units of their tolerance, which can be added.")
	}
	return notes
}

// actionsExhibit is a table of actions; another audit's are shown in the same form.
func actionsExhibit(id, title string) results.Exhibit {
	return results.Exhibit{
		ID: id, Kind: results.TableExhibit, Title: title, Columns: []string{"Action", "Criterion", "Owner", "Due", "Re-audit"},
		Denominator: "actions the practice declared", Method: "declared",
	}
}

func runExhibit(c *results.CriterionResult, i int) results.Exhibit {
	e := results.Exhibit{
		ID: fmt.Sprintf("cycle.run-%d", i), Kind: results.FigureExhibit, Title: c.Reading, Rows: []int{i}, See: []string{"cycle.criteria"},
		Denominator: "what the criterion names, by the quarter its course, or case, began", Method: "control-limits", Definition: "control-limits",
	}
	for _, b := range c.Chart.Breaches {
		e.Notes = append(e.Notes, "Ringed: "+b.Text+".")
	}
	switch {
	case !c.Chart.Centre.OK():
		e.Notes = append(e.Notes, "Without limits and run rules.")
	case len(c.Chart.Breaches) == 0:
		e.Notes = append(e.Notes, "No run rule is broken.")
	}
	if n := c.Chart.NoQuarter; n > 0 {
		e.Notes = append(e.Notes, wording.Of(n, "movement")+" without a month left out.")
	}
	if c.Chart.Method != "" {
		e.Notes = append(e.Notes, wording.Sentence(c.Chart.Method))
	}
	if slices.ContainsFunc(c.Chart.Points, func(p results.RunPoint) bool { return p.Suppressed }) {
		e.Notes = append(e.Notes, "Dash: no cases, or too few to show.")
	}
	return e
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "questions.reaudit.criteria", Definition: "criterion", Method: "criterion"},
		{Field: "questions.reaudit.criteria.run_chart", Definition: "control-limits", Method: "control-limits"},
		{Field: "questions.reaudit.protocol_changes", Definition: "criterion", Method: "criterion"},
		{Field: "questions.reaudit.protocol_changes.difference", Definition: "step-at-a-protocol-change", Method: "model-cr2"},
		{Field: "questions.reaudit.protocol_changes.slope_before", Definition: "step-at-a-protocol-change", Method: "segmented"},
		{Field: "questions.reaudit.protocol_changes.step", Definition: "step-at-a-protocol-change", Method: "segmented"},
		{Field: "questions.reaudit.protocol_changes.slope_change", Definition: "step-at-a-protocol-change", Method: "segmented"},
	}
}
