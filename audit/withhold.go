package audit

import (
	"shortfall/audit/ask/flow"
	"shortfall/audit/ask/losses"
	"shortfall/audit/ask/refinements"
	"shortfall/audit/ask/replanned"
	"shortfall/audit/between"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// withhold applies the small-number rule to every table that leaves the
// practice: cells of fewer cases than the minimum, and as many more as keep
// those from being worked out.
func withhold(p *rows.Set, r *results.Results) {
	grid.Withhold(p, r.Expression)
	between.Withhold(p, r)
	refinements.Withhold(p, &r.Refinements)
	replanned.Withhold(p, r.Replanned)
	losses.Withhold(p, r.Losses)
	flow.Withhold(p, r)
	for i := range r.Unplanned {
		if u := &r.Unplanned[i]; u.Cases < p.Settings.MinCellCases {
			*u = results.Unplanned{Axis: u.Axis, Unit: u.Unit, MeanAbs: results.NotEstimable, Outside: measure.NoShare(), Suppressed: true}
		}
	}
	shown := grid.ShownCells(r.Expression)
	for i := range r.Bounds {
		if b := &r.Bounds[i]; !shown[b.By] {
			*b = results.Bound{By: b.By, Unit: b.Unit, Observed: results.NotEstimable, Worst: results.NotEstimable, Best: results.NotEstimable, Suppressed: true}
		}
	}
}
