// Package orientation asks whether an attachment whose long edge is square to the
// movement went with more of it.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package orientation

import (
	"cmp"
	"context"
	"slices"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// ruleFor is the orientation the table wants for a movement; a rule for the
// direction goes before one for the axis.
func ruleFor(r *rows.Row, table []results.FitRule) casebook.Orientation {
	for _, rule := range table {
		if rule.Direction != 0 && rule.Direction == r.Direction {
			return rule.Orientation
		}
	}
	for _, rule := range table {
		if rule.Direction == 0 && rule.Axis == r.Axis {
			return rule.Orientation
		}
	}
	return casebook.NoOrientation
}

// GoesAgainst reports a recorded orientation that is not the table's.
func GoesAgainst(r *rows.Row, table []results.FitRule) bool {
	want := ruleFor(r, table)
	return want != casebook.NoOrientation && r.Movement.Orientation != casebook.NoOrientation && r.Movement.Orientation != want
}

// countFit flags the featured movements whose orientation goes against the
// table and counts those that cannot be judged.
func countFit(p *rows.Set, out *results.FitAnswer) {
	table := p.Settings.Questions.FitTable
	type key struct {
		axis        casebook.Axis
		orientation casebook.Orientation
		style       casebook.Style
	}
	counts, last := map[key]*results.FitCount{}, map[key]int{}
	for i := range p.Analysed {
		r := &p.Analysed[i]
		switch {
		case !rows.Featured(r):
		case ruleFor(r, table) == casebook.NoOrientation:
			out.NoRule++
		case r.Movement.Orientation == casebook.NoOrientation:
			out.NotRecorded++
		case GoesAgainst(r, table):
			k := key{r.Axis, r.Movement.Orientation, r.Style}
			c := counts[k]
			if c == nil {
				c = &results.FitCount{Axis: k.axis, Recorded: k.orientation, Style: k.style}
				counts[k], last[k] = c, -1
			}
			c.Movements++
			if last[k] != r.Cluster {
				c.Cases, last[k] = c.Cases+1, r.Cluster
			}
		}
	}
	for _, c := range counts {
		out.Against = append(out.Against, *c)
	}
	slices.SortFunc(out.Against, func(a, b results.FitCount) int {
		return cmp.Or(cmp.Compare(a.Axis, b.Axis), cmp.Compare(a.Recorded, b.Recorded), cmp.Compare(a.Style, b.Style))
	})
}

// Withhold keeps small counts and comparisons back, and never one count of an axis
// alone: the comparisons give the sum of an axis.
func Withhold(p *rows.Set, a *results.FitAnswer) {
	between.WithholdGroups(&p.Settings, a.Comparisons)
	counts := a.Against
	for _, axis := range casebook.Axes() {
		of := disclose.Pick(counts, func(c *results.FitCount) bool { return c.Axis == axis })
		for _, c := range disclose.WithheldOf(of, p.Settings.MinCellCases, func(c *results.FitCount) int { return c.Cases }) {
			*c = results.FitCount{Axis: c.Axis, Recorded: c.Recorded, Style: c.Style, Suppressed: true}
		}
	}
}

// Answer sets features whose long edge is square to the movement, by the
// table, against those that go against it.
func Answer(ctx context.Context, p *rows.Set) results.FitAnswer {
	q := p.Settings.Questions
	out := results.FitAnswer{Table: q.FitTable, TableSource: q.FitSource}
	countFit(p, &out)
	judged := func(r *rows.Row) bool {
		return rows.Featured(r) && r.Movement.Orientation != casebook.NoOrientation && ruleFor(r, q.FitTable) != casebook.NoOrientation
	}
	g := &between.Grouping{
		Group:  func(r *rows.Row) bool { return !GoesAgainst(r, q.FitTable) },
		Names:  [2]string{"with the table", "against the table"},
		Also:   []between.Covariate{between.StyleCovariate()},
		Admits: judged,
	}
	var f between.Family
	by, rows := between.CellsByDirection(p, judged)
	for i := range by {
		f.Ask(by[i], rows[i], g)
	}
	out.Comparisons = f.Judge(ctx, p)
	return out
}
