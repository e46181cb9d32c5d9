package mixed

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// at gives the criterion at a covariance of the random effects and a residual
// variance.
func (s *mixedSums) at(d []float64, sigma2 float64) (mixedPoint, bool) {
	l := ratioFactor(s.r, d, sigma2)
	pt, ok := s.ratios(l)
	if !ok {
		return pt, false
	}
	s.fill(&pt, l, sigma2)
	return pt, true
}

// search finds the maximum and sets point and status of the fit.
func (s *mixedSums) search(f *MixedFit) {
	find := s.searchIntercept
	if s.r == 2 {
		find = s.searchSlope
	}
	l, boundary := find()
	pt, ok := s.profiled(l)
	f.at = pt
	switch {
	case !ok:
		f.Status = stats.Failed
		f.warn("not-identified", "the likelihood cannot be evaluated", "check the values, or fit without the random effect")
	case s.saturated(pt):
		f.Status = stats.Failed
		f.warn("no-residual", "rows of one case agree exactly: nothing is left to judge measurement noise by",
			"fit the clustered linear model, or one row a case")
	case boundary:
		f.Status = stats.Boundary
	default:
		f.Status = s.polish(f)
	}
}

// largestRatio is how much more of an average cluster a random effect may explain
// than measurement does; the likelihood of rows that agree exactly has no maximum
// and ends beyond, where the search stops.
const largestRatio = 3e5

func (s *mixedSums) saturated(pt mixedPoint) bool {
	for k := range s.r {
		if pt.d[k*s.r+k] > largestRatio*s.unitRatio(k)*pt.sigma2 {
			return true
		}
	}
	return false
}

// searchIntercept scans the ratio of the variances over nine decades, so that
// a second maximum is not missed, then narrows the best bracket.
func (s *mixedSums) searchIntercept() (l []float64, boundary bool) {
	deviance := func(logRatio float64) float64 {
		pt, _ := s.profiled(s.onlyIntercept(math.Exp(logRatio / 2)))
		return pt.deviance
	}
	unit := s.unitRatio(0)
	zero, _ := s.profiled(s.onlyIntercept(0))
	const from, step = -4.0, 0.75 // decades
	best, at := math.Inf(1), 0.0
	for k := range 13 {
		x := math.Log(unit) + (from+step*float64(k))*math.Ln10
		if d := deviance(x); d < best {
			best, at = d, x
		}
	}
	at, best = numeric.Minimise(deviance, at-step*math.Ln10, at+step*math.Ln10, 1e-7)
	if zero.deviance <= best+1e-9*math.Abs(best) {
		return s.onlyIntercept(0), true
	}
	return s.onlyIntercept(math.Exp(at / 2)), false
}

func (s *mixedSums) onlyIntercept(root float64) []float64 {
	if s.r == 1 {
		return []float64{root}
	}
	return []float64{root, 0, 0}
}

// unitRatio is the ratio of variances at which random effect k explains as
// much of an average cluster as measurement does.
func (s *mixedSums) unitRatio(k int) float64 {
	sum := 0.0
	for g := range s.m {
		sum += s.zz[g*s.r*s.r+k*s.r+k]
	}
	if sum == 0 {
		return 1
	}
	return float64(s.m) / sum
}

// searchSlope climbs by Newton steps (searchFactor) and, where those do not
// settle, by the simplex method of Nelder & Mead (1965, Computer Journal
// 7:308-313). A diagonal element that ends at nought is held there.
func (s *mixedSums) searchSlope() (l []float64, boundary bool) {
	a, c := math.Sqrt(s.unitRatio(0)), math.Sqrt(s.unitRatio(1))
	deviance := func(x []float64) float64 {
		pt, _ := s.profiled(x)
		return pt.deviance
	}
	l, best, ok := s.searchFactor([]float64{a, 0, c})
	if !ok {
		var x []float64
		x, best = numeric.Simplex(func(x []float64) float64 { return deviance([]float64{a * x[0], c * x[1], c * x[2]}) }, []float64{1, 0, 1})
		l = []float64{a * x[0], c * x[1], c * x[2]}
	}
	if l[0] < 0 { // the sign of a column of L is free
		l[0], l[1] = -l[0], -l[1]
	}
	l[2] = math.Abs(l[2])
	for k, unit := range map[int]float64{0: a, 2: c} {
		held := append([]float64(nil), l...)
		held[k] = 0
		if l[k] < 0.01*unit && deviance(held) <= best+1e-8*(1+math.Abs(best)) {
			l, boundary = held, true
		}
	}
	return l, boundary
}

// polish takes Newton steps with the exact second derivatives from near the
// maximum.
func (s *mixedSums) polish(f *MixedFit) stats.Status {
	for range 20 {
		d := s.derivatives(f.at)
		grad, hess, _ := d.criterion(s)
		step := make([]float64, d.k)
		c, ok := numeric.Cholesky(d.k, hess)
		if !ok {
			return stats.Converged // flat to rounding: the search's own point stands
		}
		copy(step, grad)
		c.Solve(step)
		if math.Sqrt(math.Abs(numeric.Dot(step, grad))) < 1e-9 {
			f.d = &d
			return stats.Converged
		}
		next, ok := s.moved(f.at, step)
		if !ok || next.deviance > f.at.deviance+1e-7 {
			return stats.Converged
		}
		f.at = next
	}
	return stats.IterationLimit
}

// moved subtracts a step from the parameters where that stays inside.
func (s *mixedSums) moved(from mixedPoint, step []float64) (mixedPoint, bool) {
	d := append([]float64(nil), from.d...)
	for i, e := range s.basis() {
		numeric.Axpy(-step[i+1], e, d)
	}
	sigma2 := from.sigma2 - step[0]
	inside := sigma2 > 0 && d[0] > 0 && (s.r == 1 || d[0]*d[3] > d[1]*d[1])
	if !inside {
		return from, false
	}
	return s.at(d, sigma2)
}
