// Package expression asks how much of what was planned was expressed: the grid.
//
// Place in the pipeline: one question of audit/ask; audit/grid computes its cells.
package expression

import (
	"context"
	"fmt"

	"shortfall/audit/ask"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Question asks how much of what was planned was expressed.
func Question() ask.Question {
	return ask.Question{
		ID: "expression", Share: 12,
		Answer: func(ctx context.Context, p *rows.Set, r *results.Results) (err error) {
			r.InAll = grid.InAll(p)
			r.Expression, err = grid.Expression(ctx, p)
			return err
		},
		Part: func(r *results.Results) []any { return []any{&r.Expression, &r.InAll} },
		Withhold: func(p *rows.Set, r *results.Results) {
			r.InAll = nil // less what the grid shows it would tell what the grid withholds
			grid.Withhold(p, r.Expression)
		},
		Columns: columns(), Definitions: definitions, Findings: findings, Section: section,
	}
}

func section(r *results.Results) results.Section {
	set := &r.Provenance.Settings
	out := results.Section{ID: "expression", Title: "What was expressed"}
	if len(r.Expression) == 0 {
		out.Lines = []results.Line{{Role: results.Missing, Text: "No planned movement with a measured outcome is on record, so there is nothing to chart."}}
		return out
	}
	columns := []string{"Cases / movements", "Expression % (" + wording.CI(set.Level) + ")", "Outside tolerance %", "Small plans outside", "Median % (quartiles)", "Mean absolute error"}
	const of = "analysed movements: planned to a meaningful amount, outcome measured"
	out.Exhibits = []results.Exhibit{
		{
			ID: "expression.teeth", Kind: results.FigureExhibit, Title: "Expression by tooth, % of the plan, facing the patient: the patient's right is on the left of the page",
			Denominator: of, Method: "ratio-cr2", Definition: "expression", Notes: []string{"Ratio of sums, both directions together" + pooledWords(r.Expression) + "."}, See: []string{"expression.by-tooth"},
		},
		{
			ID: "expression.forest", Kind: results.FigureExhibit, Title: forestTitle(r), Denominator: of, Method: "ratio-cr2", Definition: "expression", See: []string{"expression.directions"},
			Notes: append([]string{
				"First sets. Solid line: all that was planned; dashed: mean of the axis over all styles. Ratio of sums, intervals clustered by case; an arrow marks one that leaves the scale.",
				"The styles had different plans: read the comparison of styles before comparing them.",
			}, paleNote(r.Expression)...),
		},
		{
			ID: "expression.directions", Kind: results.TableExhibit, Title: "Expression by direction, style and course", Columns: append([]string{"Course, direction and style"}, columns...),
			Denominator: of, Method: "ratio-cr2", Definition: "expression", Sheet: "expression", See: []string{"expression.forest"}, Notes: []string{"Outside tolerance: of plans larger than it; small plans outside: of those no larger, reversed or overshot. Quartiles and median are over movements. With classes and arches: " + wording.OnSheet("expression") + "."},
		},
		{
			ID: "expression.classes", Kind: results.TableExhibit, Title: "Expression by axis, tooth class and course, all styles; of the directions of page one too", Columns: append([]string{"Axis, course, teeth"}, columns...),
			Denominator: of, Method: "ratio-cr2", Definition: "expression", Sheet: "expression",
		},
		{
			ID: "expression.by-tooth", Kind: results.TableExhibit, Title: "Expression by axis and tooth, all styles, both directions: first sets, then refinements (cases under Ref.)",
			Columns:     []string{"Tooth", "Cases", "% (" + wording.CI(set.Level) + ")", "Ref.", "% (" + wording.CI(set.Level) + ")"},
			Denominator: of, Method: "ratio-cr2", Definition: "expression", Sheet: "expression", See: []string{"expression.teeth"}, Notes: []string{"Ratio of sums, before any pooling. With movements: " + wording.OnSheet("expression") + "."},
		},
	}
	return out
}

// pooledWords tells the reader where the values are partially pooled.
func pooledWords(cells []results.Cell) string {
	for i := range cells {
		if c := &cells[i]; c.By.Tooth != 0 && c.Pooled.OK() && c.Pooled != 0 {
			return "; values of single teeth are drawn towards the mean of all teeth by a random-intercept model, more so where cases are few"
		}
	}
	return ""
}

func paleNote(cells []results.Cell) []string {
	for i := range cells {
		if cells[i].BelowDetectable && cells[i].By.Style != casebook.NoStyle {
			return []string{"Pale: mean difference from the plan below the smallest change the measurement can detect."}
		}
	}
	return nil
}

// forestTitle states the lowest and the highest direction over all styles.
func forestTitle(r *results.Results) string {
	var whole []*results.Cell
	for i := range r.Expression {
		if c := &r.Expression[i]; c.By.WholeInFirstSets() && c.By.Style == casebook.NoStyle {
			whole = append(whole, c)
		}
	}
	low, high := measure.Ends(whole)
	if low == nil || low == high {
		return "Expression by direction and attachment style, percent of the planned amount"
	}
	say := func(c *results.Cell) string {
		return fmt.Sprintf("%s, %s (%s CI\u00a0%s)", wording.NamesOf(r).Movement(c.By), wording.Percent(c.Estimate), wording.Level(r.Provenance.Settings.Level), wording.Limits(c.Low, c.High))
	}
	return "Expressed least: " + say(low) + "; most: " + say(high)
}

// columns say what its numbers are.
func columns() []results.Column {
	return []results.Column{
		{Field: "expression", Definition: "expression", Method: "ratio-cr2"},
		{Field: "in_all", Definition: "expression", Method: "ratio-cr2"},
		{Field: "expression.planned_total", Definition: "planned-achieved", Method: "count"},
		{Field: "expression.achieved_total", Definition: "planned-achieved", Method: "count"},
		{Field: "expression.design_effect", Definition: "design-effect", Method: "ratio-cr2"},
		{Field: "expression.average_patient", Definition: "average-patient", Method: "mean-of-cases"},
		{Field: "expression.outside_tolerance", Definition: "outside-tolerance", Method: "share-clustered"},
		{Field: "expression.plans_within_tolerance", Definition: "outside-tolerance", Method: "count"},
		{Field: "expression.plans_within_tolerance_outside", Definition: "outside-tolerance", Method: "count"},
		{Field: "expression.median_ratio", Definition: "movement-expression", Method: "quartiles"},
		{Field: "expression.lower_quartile", Definition: "movement-expression", Method: "quartiles"},
		{Field: "expression.upper_quartile", Definition: "movement-expression", Method: "quartiles"},
		{Field: "expression.mean_abs_error", Definition: "mean-absolute-error", Method: "count"},
		{Field: "expression.mean_difference", Definition: "mean-difference", Method: "mean-cr2"},
		{Field: "expression.mean_shortfall", Definition: "mean-difference", Method: "mean-cr2"},
		{Field: "expression.percent_accuracy", Definition: "percentage-accuracy", Method: "count"},
		{Field: "expression.slope", Definition: "slope", Method: "count"},
		{Field: "expression.pooled", Definition: "pooled-expression", Method: "random-intercept"},
	}
}
