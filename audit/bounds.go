package audit

import (
	"math"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// boundSums adds up one direction of one course stratum.
type boundSums struct {
	planned, achieved, missing float64 // missing: planned amounts without an outcome
	movements, unmeasured      int
	cases, missingCases        caseCounter
}

// caseCounter counts distinct cases of rows that come case by case.
type caseCounter struct{ n, last int }

func (c *caseCounter) add(cluster int) {
	if c.n == 0 || c.last != cluster {
		c.n, c.last = c.n+1, cluster
	}
}

// bounds sets the outcomes that are missing, of patients who left among them,
// to the worst case (nothing expressed) and to the best (all expressed).
func (p *prepared) bounds() []results.Bound {
	var sums [13][2]boundSums
	at := func(r *row) *boundSums {
		if r.first {
			return &sums[r.direction][0]
		}
		return &sums[r.direction][1]
	}
	// Both slices come in case order; merge them so that cases count once.
	for i, j := 0, 0; i < len(p.analysed) || j < len(p.missing); {
		if j == len(p.missing) || i < len(p.analysed) && p.analysed[i].cluster <= p.missing[j].cluster {
			r := &p.analysed[i]
			s := at(r)
			s.movements, s.planned, s.achieved = s.movements+1, s.planned+r.planned, s.achieved+r.achieved
			s.cases.add(r.cluster)
			i++
			continue
		}
		r := &p.missing[j]
		s := at(r)
		s.movements, s.unmeasured, s.missing = s.movements+1, s.unmeasured+1, s.missing+r.planned
		s.cases.add(r.cluster)
		s.missingCases.add(r.cluster)
		j++
	}
	var out []results.Bound
	for _, d := range casebook.Directions() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			if s := &sums[d][course]; s.movements > 0 {
				out = append(out, p.bound(results.By{Axis: d.Axis(), Direction: d, Course: stratum}, s))
			}
		}
	}
	return out
}

func (p *prepared) bound(by results.By, s *boundSums) results.Bound {
	few := s.cases.n < p.settings.MinCellCases || s.unmeasured > 0 && s.missingCases.n < p.settings.MinCellCases
	if p.settings.Shared && few {
		return results.Bound{By: by, Unit: by.Axis.Unit(), Observed: results.NotEstimable, Worst: results.NotEstimable, Best: results.NotEstimable, Suppressed: true}
	}
	total := s.planned + s.missing
	observed := math.NaN()
	if s.planned > 0 {
		observed = s.achieved / s.planned
	}
	return results.Bound{
		By: by, Unit: by.Axis.Unit(), Cases: s.cases.n, Movements: s.movements, Missing: s.unmeasured,
		Observed: orMissing(observed), Worst: results.Number(s.achieved / total), Best: results.Number((s.achieved + s.missing) / total),
	}
}
