package stats

import (
	"math"

	"gonum.org/v1/gonum/optimize"
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
	l, boundary := s.searchIntercept()
	if s.r == 2 {
		l, boundary = s.searchSlope()
	}
	pt, ok := s.profiled(l)
	f.at = pt
	switch {
	case !ok:
		f.Status = Failed
	case boundary:
		f.Status = Boundary
	default:
		f.Status = s.polish(f)
	}
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
	at, best = minimise(deviance, at-step*math.Ln10, at+step*math.Ln10, 1e-7)
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

// minimise finds the minimum of f between lo and hi by golden sections and
// parabolas (Brent 1973, Algorithms for Minimization without Derivatives,
// chapter 5), to tol relative to 1 + |x|.
func minimise(f func(float64) float64, lo, hi, tol float64) (x, fx float64) {
	const golden = 0.3819660112501051
	x = lo + golden*(hi-lo)
	fx = f(x)
	w, v, fw, fv := x, x, fx, fx // second best and the best before that
	var step, before float64
	for range 100 {
		mid, eps := (lo+hi)/2, tol*(1+math.Abs(x))
		if math.Abs(x-mid) <= 2*eps-(hi-lo)/2 {
			break
		}
		next, ok := parabola(x, w, v, fx, fw, fv)
		if ok && math.Abs(next-x) < math.Abs(before)/2 && next > lo && next < hi {
			before, step = step, next-x
			if next-lo < 2*eps || hi-next < 2*eps {
				step = math.Copysign(eps, mid-x)
			}
		} else {
			if before = hi - x; x >= mid {
				before = lo - x
			}
			step = golden * before
		}
		if math.Abs(step) < eps {
			step = math.Copysign(eps, step)
		}
		u := x + step
		fu := f(u)
		if fu <= fx {
			if u >= x {
				lo = x
			} else {
				hi = x
			}
			v, fv, w, fw, x, fx = w, fw, x, fx, u, fu
			continue
		}
		if u < x {
			lo = u
		} else {
			hi = u
		}
		switch {
		case fu <= fw || w == x:
			v, fv, w, fw = w, fw, u, fu
		case fu <= fv || v == x || v == w:
			v, fv = u, fu
		}
	}
	return x, fx
}

// parabola gives the turning point of the parabola through three points; false
// where they lie on a line.
func parabola(x, w, v, fx, fw, fv float64) (float64, bool) {
	a := (x - w) * (fx - fv)
	b := (x - v) * (fx - fw)
	p := (x-v)*b - (x-w)*a
	q := 2 * (b - a)
	if q == 0 || math.IsNaN(p/q) {
		return 0, false
	}
	return x - p/q, true
}

// searchSlope searches the three elements of the lower factor with the simplex
// method of Nelder & Mead (1965, Computer Journal 7:308-313), restarted until
// it finds nothing better.
func (s *mixedSums) searchSlope() (l []float64, boundary bool) {
	a, c := math.Sqrt(s.unitRatio(0)), math.Sqrt(s.unitRatio(1))
	deviance := func(x []float64) float64 {
		pt, _ := s.profiled([]float64{a * x[0], c * x[1], c * x[2]})
		return pt.deviance
	}
	x, best := simplex(deviance, []float64{1, 0, 1})
	if y, d := simplex(deviance, []float64{0.3, 0, 0.1}); d < best {
		x, best = y, d
	}
	for k := range x { // a diagonal element at nought: hold it there
		if k == 1 {
			continue
		}
		held := append([]float64(nil), x...)
		held[k] = 0
		y, d := simplex(func(v []float64) float64 {
			w := append([]float64(nil), v...)
			w[k] = 0
			return deviance(w)
		}, held)
		if y[k] = 0; d <= best+1e-8*(1+math.Abs(best)) {
			x, best, boundary = y, math.Min(d, best), true
		}
	}
	l = []float64{a * x[0], c * x[1], c * x[2]}
	if l[0] < 0 { // the sign of a column of L is free
		l[0], l[1] = -l[0], -l[1]
	}
	l[2] = math.Abs(l[2])
	return l, boundary
}

// simplex minimises f from x, restarting until the gain is lost in rounding.
func simplex(f func([]float64) float64, x []float64) ([]float64, float64) {
	best := f(x)
	for range 6 {
		r, err := optimize.Minimize(optimize.Problem{Func: f}, x, &optimize.Settings{
			Converger: &optimize.FunctionConverge{Absolute: 1e-9, Iterations: 30}, FuncEvaluations: 600,
		}, &optimize.NelderMead{})
		if r == nil || (err != nil && math.IsNaN(r.F)) {
			return x, best
		}
		gain := best - r.F
		if r.F <= best {
			x, best = r.X, r.F
		}
		if gain < 1e-8 {
			break
		}
	}
	return x, best
}

// polish takes Newton steps with the exact second derivatives from near the
// maximum.
func (s *mixedSums) polish(f *MixedFit) Status {
	for range 20 {
		d := s.derivatives(f.at)
		grad, hess, _ := d.criterion(s)
		step := make([]float64, d.k)
		c, ok := cholesky(d.k, hess)
		if !ok {
			return Converged // flat to rounding: the search's own point stands
		}
		copy(step, grad)
		c.solve(step)
		if math.Sqrt(math.Abs(dot(step, grad))) < 1e-9 {
			f.d = &d
			return Converged
		}
		next, ok := s.moved(f.at, step)
		if !ok || next.deviance > f.at.deviance+1e-7 {
			return Converged
		}
		f.at = next
	}
	return IterationLimit
}

// moved subtracts a step from the parameters where that stays inside.
func (s *mixedSums) moved(from mixedPoint, step []float64) (mixedPoint, bool) {
	d := append([]float64(nil), from.d...)
	for i, e := range s.basis() {
		axpy(-step[i+1], e, d)
	}
	sigma2 := from.sigma2 - step[0]
	inside := sigma2 > 0 && d[0] > 0 && (s.r == 1 || d[0]*d[3] > d[1]*d[1])
	if !inside {
		return from, false
	}
	return s.at(d, sigma2)
}

// criterion gives gradient and second derivatives of -2 log likelihood in the
// parameters, and the expected second derivatives (Searle, Casella &
// McCulloch 1992, Variance Components, 6.6 and 6.3).
func (d mixedDerivatives) criterion(s *mixedSums) (grad, observed, expected []float64) {
	k, u := d.k, s.o.p+1
	p := s.o.p
	grad, observed, expected = make([]float64, k), make([]float64, k*k), make([]float64, k*k)
	phiP := make([][]float64, k) // Phi P_i
	pa := make([][]float64, k)   // P_i a
	for i := range k {
		phiP[i] = timesBlock(p, u, d.cov, d.p[i])
		pa[i] = make([]float64, u)
		symVec(d.p[i], d.a, pa[i])
		grad[i] = d.trace[i] - dot(pa[i], d.a)
		if s.like == REML {
			for j := range p {
				grad[i] -= phiP[i][j*p+j]
			}
		}
	}
	qa, v := make([]float64, u), make([]float64, p)
	for i := range k {
		for j := range k {
			tr := d.trace2[i*k+j]
			if s.like == REML {
				tr += traceProduct(p, phiP[i], phiP[j]) - 2*d.phiTrace(p, u, d.q[i*k+j])
			}
			symVec(d.q[i*k+j], d.a, qa)
			symVec(d.cov, pa[j][:p], v)
			observed[i*k+j] = -tr + 2*(dot(qa, d.a)-dot(v, pa[i][:p]))
			expected[i*k+j] = tr
		}
	}
	return grad, observed, expected
}

// timesBlock is a times the leading p x p block of b (u x u).
func timesBlock(p, u int, a, b []float64) []float64 {
	out := make([]float64, p*p)
	for i := range p {
		for k := range p {
			axpy(a[i*p+k], b[k*u:k*u+p], out[i*p:(i+1)*p])
		}
	}
	return out
}

func traceProduct(p int, a, b []float64) (t float64) {
	for i := range p {
		for j := range p {
			t += a[i*p+j] * b[j*p+i]
		}
	}
	return t
}

// phiTrace is tr Phi Q.
func (d mixedDerivatives) phiTrace(p, u int, q []float64) (t float64) {
	for i := range p {
		t += dot(d.cov[i*p:(i+1)*p], q[i*u:i*u+p])
	}
	return t
}
