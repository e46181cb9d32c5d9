package mixed

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// search finds the maximum and sets point and status of the fit.
func (s *mixedSums) search(f *MixedFit) {
	ratio, boundary := s.bestRatio()
	pt, ok := s.profiled(ratio)
	f.at = pt
	switch {
	case !ok:
		f.Status = stats.Failed
		f.warn("not-identified", "the likelihood cannot be evaluated", "check the values, or fit without the random effect")
	case pt.ratio > largestRatio*s.unitRatio():
		f.Status = stats.Failed
		f.warn("no-residual", "rows of one case agree exactly: nothing is left to judge measurement noise by",
			"fit the clustered linear model, or one row a case")
	case boundary:
		f.Status = stats.Boundary
	default:
		f.Status = stats.Converged
	}
}

// largestRatio is how much more of an average cluster a random effect may explain
// than measurement does; the likelihood of rows that agree exactly has no maximum
// and ends beyond, where the search stops.
const largestRatio = 3e5

// bestRatio scans the ratio of the variances over nine decades, so that a second
// maximum is not missed, then narrows the best bracket. A minimum is flat, so the
// ratio is good to about seven digits.
func (s *mixedSums) bestRatio() (ratio float64, boundary bool) {
	deviance := func(logRatio float64) float64 {
		pt, _ := s.profiled(math.Exp(logRatio))
		return pt.deviance
	}
	unit := s.unitRatio()
	zero, _ := s.profiled(0)
	const from, step = -4.0, 0.75 // decades
	best, at := math.Inf(1), 0.0
	for k := range 13 {
		x := math.Log(unit) + (from+step*float64(k))*math.Ln10
		if d := deviance(x); d < best {
			best, at = d, x
		}
	}
	at, best = numeric.Minimise(deviance, at-step*math.Ln10, at+step*math.Ln10, 1e-9)
	if zero.deviance <= best+1e-9*math.Abs(best) {
		return 0, true
	}
	return math.Exp(at), false
}

// unitRatio is the ratio of variances at which the random effect explains as much of
// an average cluster as measurement does.
func (s *mixedSums) unitRatio() float64 {
	sum := 0.0
	for _, v := range s.zz {
		sum += v
	}
	return float64(s.m) / sum
}
