// Package unplanned asks what moved where next to nothing was planned.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package unplanned

import (
	"math"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// answer shows movement where nothing, or less than the smallest
// meaningful amount, was planned.
func answer(p *rows.Set) []results.Unplanned {
	type group struct {
		outside []bool
		cluster []int
		abs     float64
	}
	var groups [casebook.AxisCount + 1]group
	for i := range p.Unplanned {
		r := &p.Unplanned[i]
		g := &groups[r.Axis]
		size := math.Abs(r.Achieved)
		g.outside = append(g.outside, rows.Beyond(size, r.Unit(), &p.Settings))
		g.cluster, g.abs = append(g.cluster, r.Cluster), g.abs+size
	}
	var out []results.Unplanned
	for _, axis := range casebook.Axes() {
		if g := &groups[axis]; len(g.outside) > 0 {
			out = append(out, results.Unplanned{
				Axis: axis, Unit: axis.Unit(), Cases: measure.CountRuns(g.cluster), Movements: len(g.outside),
				MeanAbs: results.Number(g.abs / float64(len(g.outside))), Outside: measure.ClusteredShare(g.outside, g.cluster, &p.Settings),
			})
		}
	}
	return out
}
