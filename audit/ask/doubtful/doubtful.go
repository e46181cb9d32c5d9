// Package doubtful lists the amounts that cannot be right as they stand, each with
// the finding that it touches.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and the
// comparisons as they are printed, and fills its part of results.Results.
package doubtful

import (
	"fmt"
	"slices"

	"shortfall/audit/compare"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// answer lists every doubtful movement, whatever became of it in the analysis.
// Nothing is left out or corrected for it: the cell is for the practice to look at.
func answer(p *rows.Set, comparisons []results.Comparison) results.DoubtfulAnswer {
	var found []*rows.Row
	enters := map[*rows.Row]bool{}
	for k, list := range [][]rows.Row{p.Analysed, p.Missing, p.Unplanned, p.Short} {
		for i := range list {
			if r := &list[i]; r.Doubt != casebook.NoDoubt {
				found = append(found, r)
				enters[r] = k == 0
			}
		}
	}
	slices.SortFunc(found, func(a, b *rows.Row) int { return rows.CompareMovements(a.Movement, b.Movement) })
	out := results.DoubtfulAnswer{Amounts: len(found)}
	for _, r := range found {
		m := r.Movement
		d := results.DoubtfulAmount{
			Case: p.CaseName(r.Cluster), Course: max(m.Course, 1), Tooth: r.Tooth, Axis: r.Axis, Direction: r.Direction, Unit: r.Unit(),
			Planned: measure.OrMissing(m.Planned), Achieved: results.NotEstimable, Doubt: r.Doubt.String(), Touches: "no estimate",
			Confirmed: m.Confirmed == casebook.AsMeasured,
		}
		if d.Confirmed {
			out.Confirmed++
		}
		if m.Achieved.OK {
			d.Achieved = measure.OrMissing(m.Achieved.Value)
		}
		if enters[r] {
			d.Touches = touches(p.Names, r, comparisons)
		}
		out.List = append(out.List, d)
	}
	return out
}

// touches says what of the report rests on a doubtful amount.
func touches(n wording.Names, r *rows.Row, comparisons []results.Comparison) string {
	text := "expression of " + n.Direction(r.Direction) + ", " + wording.Course(r.Stratum())
	if !rows.Featured(r) {
		return text
	}
	for i := range comparisons {
		c := &comparisons[i]
		if c.Primary || !c.By.WholeDirection() || !rows.Holds(c.By, r) {
			continue
		}
		text += "; the styles there: " + string(c.Verdict)
		for _, k := range c.Checks {
			if d := k.Estimate; k.ID == compare.WithoutDoubted && d.Difference.OK() && d.Low.OK() {
				text += fmt.Sprintf(" (difference %s, without such amounts %s)", wording.InPoints(100*float64(c.Adjusted.Difference)), wording.InPoints(100*float64(d.Difference)))
			}
		}
	}
	return text
}

// withhold takes the list of single movements out; their number stays.
func withhold(a *results.DoubtfulAnswer) { a.List = nil }
