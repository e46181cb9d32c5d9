// Package bounds asks what the expression would be had every missing outcome failed,
// or succeeded.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package bounds

import (
	"math"

	"shortfall/audit/disclose"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// boundSums adds up one direction of one course stratum.
type boundSums struct {
	planned, achieved, missing float64 // missing: planned amounts without an outcome
	movements, unmeasured      int
	cases, missingCases        rows.CaseCounter
}

// answer sets the outcomes that are missing, of patients who left among them,
// to the worst case (nothing expressed) and to the best (all expressed).
func answer(p *rows.Set) []results.Bound {
	sums := sumUp(p)
	var out []results.Bound
	for _, d := range casebook.Directions() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			if s := &sums[d][course]; s.movements > 0 {
				out = append(out, bound(results.By{Axis: d.Axis(), Direction: d, Course: stratum}, s))
			}
		}
	}
	return out
}

// withhold keeps back a direction that the grid does not show, or that has few
// cases, or few with a missing outcome.
func withhold(p *rows.Set, bs []results.Bound, cells []results.Cell) {
	sums, shown := sumUp(p), grid.ShownCells(cells)
	for i := range bs {
		b := &bs[i]
		s := &sums[b.By.Direction][measure.OneIf(b.By.Course == results.Refinement)]
		if !shown[b.By] || s.cases.N < p.Settings.MinCellCases || disclose.Small(&p.Settings, s.missingCases.N) {
			*b = results.Bound{By: b.By, Unit: b.Unit, Observed: results.NotEstimable, Worst: results.NotEstimable, Best: results.NotEstimable, Suppressed: true}
		}
	}
}

// sumUp adds up every direction, initial courses and refinements apart.
func sumUp(p *rows.Set) [][2]boundSums {
	sums := make([][2]boundSums, casebook.DirectionCount+1)
	at := func(r *rows.Row) *boundSums {
		if r.First {
			return &sums[r.Direction][0]
		}
		return &sums[r.Direction][1]
	}
	// Both slices come in case order; merge them so that cases count once.
	for i, j := 0, 0; i < len(p.Analysed) || j < len(p.Missing); {
		if j == len(p.Missing) || i < len(p.Analysed) && p.Analysed[i].Cluster <= p.Missing[j].Cluster {
			r := &p.Analysed[i]
			s := at(r)
			s.movements, s.planned, s.achieved = s.movements+1, s.planned+r.Planned, s.achieved+r.Achieved
			s.cases.Add(r.Cluster)
			i++
			continue
		}
		r := &p.Missing[j]
		s := at(r)
		s.movements, s.unmeasured, s.missing = s.movements+1, s.unmeasured+1, s.missing+r.Planned
		s.cases.Add(r.Cluster)
		s.missingCases.Add(r.Cluster)
		j++
	}
	return sums
}

func bound(by results.By, s *boundSums) results.Bound {
	total := s.planned + s.missing
	observed := math.NaN()
	if s.planned > 0 {
		observed = s.achieved / s.planned
	}
	return results.Bound{
		By: by, Unit: by.Axis.Unit(), Cases: s.cases.N, Movements: s.movements, Missing: s.unmeasured,
		Observed: measure.OrMissing(observed), Worst: results.Number(s.achieved / total), Best: results.Number((s.achieved + s.missing) / total),
	}
}
