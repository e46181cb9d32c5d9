package mixed

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// searchFactor minimises the criterion in the elements of the lower factor L
// of the ratios and the residual standard deviation, where it is smooth up to
// the boundary and beyond, by damped Newton steps (Levenberg 1944; Marquardt
// 1963). Second derivatives are the average information of Gilmour, Thompson &
// Cullis (1995, Biometrics 51:1440-1450, equation 5) carried over to L, plus
// the curvature of the parametrisation, which is what pins an element to
// nought. ok is false where the steps do not settle.
func (s *mixedSums) searchFactor(l []float64) (at []float64, deviance float64, ok bool) {
	pt, fine := s.profiled(l)
	if !fine {
		return l, math.Inf(1), false
	}
	damp, gain := 1e-3, math.Inf(1)
	for range 60 {
		grad, hess := s.gradient(pt, l)
		k := len(grad)
		moved := false
		for range 25 {
			var step []float64
			if step, gain = dampedStep(k, hess, grad, damp); gain < 1e-17 {
				return l, pt.deviance, true
			}
			trial := append([]float64(nil), l...)
			numeric.Axpy(-1, step[:k-1], trial)
			next, fine := s.profiled(trial)
			if fine && next.deviance < pt.deviance+1e-14*math.Abs(pt.deviance) { // equal up to rounding
				l, pt, damp, moved = trial, next, damp/5, true
				break
			}
			damp *= 6
		}
		if !moved {
			break
		}
	}
	return l, pt.deviance, gain < 1e-9*(1+math.Abs(pt.deviance))
}

// dampedStep solves (H + damp diag|H|) step = grad and gives half of
// step'grad, what a step would gain; more damping where that is not a descent.
func dampedStep(k int, h, grad []float64, damp float64) (step []float64, gain float64) {
	step = make([]float64, k)
	for {
		a := append([]float64(nil), h...)
		for i := range k {
			a[i*k+i] += damp*math.Abs(h[i*k+i]) + 1e-12
		}
		if numeric.CholeskySolve(k, a, grad, step) {
			return step, numeric.Dot(step, grad) / 2
		}
		damp = 4*damp + 1e-3
	}
}

// gradient gives first and approximate second derivatives of the criterion in
// the elements of L and the residual standard deviation.
func (s *mixedSums) gradient(pt mixedPoint, l []float64) (g, h []float64) {
	grad, info := s.averageInformation(pt, l)
	jac, curve := s.chart(l, pt.sigma2)
	return intoChart(grad, info, jac, curve)
}

// intoChart carries gradient and second derivatives from the linear parameters
// to the chart.
func intoChart(grad, hess, jac []float64, curve [][]float64) (g, h []float64) {
	k := len(grad)
	g, h = make([]float64, k), make([]float64, k*k)
	for a := range k {
		for i := range k {
			g[a] += grad[i] * jac[i*k+a]
		}
		for b := range k {
			for i := range k {
				h[a*k+b] += grad[i] * curve[i][a*k+b]
				for j := range k {
					h[a*k+b] += jac[i*k+a] * hess[i*k+j] * jac[j*k+b]
				}
			}
		}
	}
	return g, h
}

// averageInformation gives the gradient in the linear parameters and
// y'P G_i P G_j P y. Names as in mixedDerivatives; the Q matrices, which cost
// most there, are needed only along the residuals.
func (s *mixedSums) averageInformation(pt mixedPoint, l []float64) (grad, info []float64) {
	p, r := s.o.P, s.r
	u := p + 1
	e := s.basis()
	k := 1 + len(e)
	c := 1 / pt.sigma2
	d := mixedDerivatives{k: k, trace: make([]float64, k)}
	d.finish(s, pt)
	for range k {
		d.p = append(d.p, make([]float64, u*u))
	}
	t := newGroupTerms(r, u)
	u1 := make([]float64, u*u)
	quad := make([]float64, k*k) // a'Q_ij a
	s1, s2, s3 := 0.0, 0.0, 0.0
	h, k1, k2, v := make([]float64, r), make([]float64, r), make([]float64, r), make([]float64, r)
	ek := make([]float64, len(e)*r)
	d.trace[0] = c * float64(s.n)
	for g := range s.m {
		zz, zu := s.zz[g*r*r:(g+1)*r*r], s.zu[g*r*u:(g+1)*r*u]
		t.fill(r, u, c, l, zz, zu)
		addUpper(r, u, -c, zu, t.wh, u1)
		transProduct(r, u, t.w, t.k1, t.work)
		addUpper(r, u, -c, zu, t.work, d.p[0])
		for a := range r {
			h[a], k1[a], k2[a] = numeric.Dot(zu[a*u:(a+1)*u], d.a), numeric.Dot(t.k1[a*u:(a+1)*u], d.a), numeric.Dot(t.k2[a*u:(a+1)*u], d.a)
			d.trace[0] -= c * t.ws[a*r+a]
		}
		s1, s2, s3 = s1-c*bilinear(r, t.w, h, h), s2-c*bilinear(r, t.w, h, k1), s3-c*bilinear(r, t.w, h, k2)
		for i, ei := range e {
			for a := range r {
				for b := range r {
					d.trace[i+1] += t.m1[a*r+b] * ei[b*r+a]
				}
			}
			transProduct(r, u, ei, t.k1, t.work)
			addUpper(r, u, 1, t.k1, t.work, d.p[i+1])
			numeric.SymVec(ei, k1, ek[i*r:(i+1)*r])
			quad[i+1] += numeric.Dot(k2, ek[i*r:(i+1)*r])
		}
		for i := range e {
			numeric.SymVec(t.m1, ek[i*r:(i+1)*r], v)
			for j := range e {
				quad[(i+1)*k+j+1] += numeric.Dot(v, ek[j*r:(j+1)*r])
			}
		}
	}
	for i := range p {
		u1[i*u+i] += c
	}
	u1[p*u+p] += c * s.o.RSS
	numeric.Axpy(c, u1, d.p[0])
	for i := range k {
		numeric.Mirror(u, d.p[i])
		quad[i*k] = quad[i]
	}
	whole := numeric.Dot(d.a[:p], d.a[:p]) + s.o.RSS // a'U'Ua
	s1 += c * whole
	s2 += c * s1
	s3 += c * s2
	quad[0] = s3
	return d.scores(s, quad)
}

// scores assembles gradient and average information from the sums.
func (d mixedDerivatives) scores(s *mixedSums, quad []float64) (grad, info []float64) {
	k, p := d.k, s.o.P
	u := p + 1
	grad, info = make([]float64, k), make([]float64, k*k)
	pa := make([][]float64, k)
	for i := range k {
		pa[i] = make([]float64, u)
		numeric.SymVec(d.p[i], d.a, pa[i])
		grad[i] = d.trace[i] - numeric.Dot(pa[i], d.a)
		if s.like == REML {
			grad[i] -= d.phiTrace(p, u, d.p[i])
		}
	}
	v := make([]float64, p)
	for j := range k {
		numeric.SymVec(d.cov, pa[j][:p], v)
		for i := range k {
			info[i*k+j] = quad[i*k+j] - numeric.Dot(v, pa[i][:p])
		}
	}
	return grad, info
}

func bilinear(r int, m, a, b []float64) (v float64) {
	for i := range r {
		v += a[i] * numeric.Dot(m[i*r:(i+1)*r], b)
	}
	return v
}

// addUpper adds the upper triangle of s A'B to out, A and B r x u, where that
// product is symmetric.
func addUpper(r, u int, s float64, a, b, out []float64) {
	for k := range r {
		for x := range u {
			if v := s * a[k*u+x]; v != 0 {
				numeric.Axpy(v, b[k*u+x:(k+1)*u], out[x*u+x:(x+1)*u])
			}
		}
	}
}
