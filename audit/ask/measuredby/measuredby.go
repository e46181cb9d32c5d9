// Package measuredby says how outcomes were measured, and keeps what was measured in
// several ways apart.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package measuredby

import (
	"shortfall/audit/disclose"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// answer counts the ways of measuring and, where there are several, gives the
// expression of every direction and course by each.
func answer(p *rows.Set) (out results.MeasuredAnswer) {
	ways := p.Methods()
	for _, m := range ways {
		w := results.MeasuredWay{Method: m}
		last := -1
		for i := range p.Analysed {
			if r := &p.Analysed[i]; r.Method == m {
				w.Movements++
				w.Cases += measure.OneIf(r.Cluster != last)
				last = r.Cluster
			}
		}
		out.Ways = append(out.Ways, w)
	}
	if len(ways) < 2 {
		return out
	}
	for _, d := range casebook.Directions() {
		for _, first := range []bool{true, false} {
			for _, m := range ways {
				if c := cellOf(p, d, first, m); c.Movements > 0 {
					out.Cells = append(out.Cells, c)
				}
			}
		}
	}
	return out
}

// cellOf is the expression of a direction as one way of measuring has it.
func cellOf(p *rows.Set, d casebook.Direction, first bool, m casebook.Method) results.MeasuredCell {
	c := results.MeasuredCell{
		By: results.By{Axis: d.Axis(), Direction: d, Course: results.Refinement}, Unit: d.Axis().Unit(), Method: m, Expression: measure.NoSpread(),
	}
	if first {
		c.By.Course = results.Initial
	}
	var planned, achieved []float64
	var cluster []int
	for i := range p.Analysed {
		if r := &p.Analysed[i]; r.Direction == d && r.First == first && r.Method == m {
			planned, achieved, cluster = append(planned, r.Planned), append(achieved, r.Achieved), append(cluster, r.Cluster)
		}
	}
	if c.Movements, c.Cases = len(cluster), measure.CountRuns(cluster); c.Movements == 0 {
		return c
	}
	c.Expression, c.Warnings = measure.Expression(achieved, planned, cluster, c.Cases, &p.Settings)
	return c
}

// withhold keeps small counts back, never one way of a cell alone, and every cell of
// a direction that is kept back as a whole.
func withhold(p *rows.Set, r *results.Results) {
	a, least := &r.Questions.Measured, p.Settings.MinCellCases
	all := disclose.Pick(a.Ways, func(*results.MeasuredWay) bool { return true })
	for _, w := range disclose.WithheldOf(all, least, func(w *results.MeasuredWay) int { return w.Cases }) {
		*w = results.MeasuredWay{Method: w.Method, Suppressed: true}
	}
	shown := grid.ShownCells(r.Expression)
	for i := range a.Cells {
		by := a.Cells[i].By
		cell := disclose.Pick(a.Cells, func(c *results.MeasuredCell) bool { return c.By == by && !c.Suppressed })
		hidden := disclose.WithheldOf(cell, least, func(c *results.MeasuredCell) int { return c.Cases })
		if !shown[by] {
			hidden = cell
		}
		for _, c := range hidden {
			*c = results.MeasuredCell{By: c.By, Unit: c.Unit, Method: c.Method, Expression: measure.NoSpread(), Suppressed: true}
		}
	}
}
