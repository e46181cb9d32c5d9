// Package stated gives the expression of movements of which a practice keeps the
// plan and a percentage of its own, and no measured outcome.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package stated

import (
	"math"

	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// one is a movement with a stated percentage: plan and derived outcome are sizes along
// the plan.
type one struct {
	by       results.By
	planned  float64
	achieved float64
	cluster  int
}

// answer derives achieved = planned x percentage and takes totals over totals, by
// direction and course. Such movements enter no other table: nobody measured them
// for this audit.
func answer(p *rows.Set) (out results.StatedAnswer) {
	all := percentages(p)
	for _, d := range casebook.Directions() {
		for _, course := range []results.CourseStratum{results.Initial, results.Refinement} {
			by := results.By{Axis: d.Axis(), Direction: d, Course: course}
			if c := cellOf(p, all, by); c.Movements > 0 {
				out.Cells = append(out.Cells, c)
			}
		}
	}
	return out
}

// percentages lists the movements whose only outcome is a stated percentage, in the
// order of the records.
func percentages(p *rows.Set) (out []one) {
	clusters := make(map[casebook.CaseKey]int, len(p.Cases))
	for i := range p.Cases {
		clusters[p.Cases[i].Key] = i
	}
	for i := range p.Dataset.Movements {
		m := &p.Dataset.Movements[i]
		cluster, ok := clusters[m.Case]
		if !ok || p.Fate(m, cluster) != rows.PercentageOnly || !m.StatedPercent.OK {
			continue
		}
		course := results.Initial
		if m.Course > 1 {
			course = results.Refinement
		}
		size := math.Abs(m.Planned)
		out = append(out, one{
			by:      results.By{Axis: m.Axis, Direction: m.Direction(), Course: course},
			planned: size, achieved: size * m.StatedPercent.Value / 100, cluster: cluster,
		})
	}
	return out
}

func cellOf(p *rows.Set, all []one, by results.By) results.StatedCell {
	c := results.StatedCell{By: by, Unit: by.Axis.Unit(), Expression: measure.NoSpread()}
	var planned, achieved []float64
	var cluster []int
	for _, x := range all {
		if x.by == by {
			planned, achieved, cluster = append(planned, x.planned), append(achieved, x.achieved), append(cluster, x.cluster)
		}
	}
	if c.Movements, c.Cases = len(cluster), measure.CountRuns(cluster); c.Movements == 0 {
		return c
	}
	c.Expression, c.Warnings = measure.Expression(achieved, planned, cluster, c.Cases, &p.Settings)
	return c
}

// withhold keeps small counts back, and never one cell alone.
func withhold(p *rows.Set, r *results.Results) {
	all := disclose.Pick(r.Questions.Stated.Cells, func(*results.StatedCell) bool { return true })
	for _, c := range disclose.WithheldOf(all, p.Settings.MinCellCases, func(c *results.StatedCell) int { return c.Cases }) {
		*c = results.StatedCell{By: c.By, Unit: c.Unit, Expression: measure.NoSpread(), Suppressed: true}
	}
}
