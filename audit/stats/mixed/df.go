package mixed

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// derivs computes the derivatives once.
func (f *MixedFit) derivs() *mixedDerivatives {
	if f.d == nil {
		d := f.s.derivatives(f.at)
		f.d = &d
	}
	return f.d
}

// Contrast estimates c'b with the model's standard error, t on Satterthwaite's
// degrees of freedom 2v^2 / (g'Ag): v the variance of c'b, g its gradient in
// the variance parameters and A their covariance from the observed second
// derivatives (Giesbrecht & Burns 1985, Biometrics 41:477-486; as R's
// lmerTest). A nominal 95 % interval covers 94.3 to 97.0 % with 10 to 40 cases
// in this package's simulation, most where cases do not differ. Panics where
// len(c) is not the number of columns or level is outside (0, 1).
func (f *MixedFit) Contrast(c []float64, level float64) stats.Estimate {
	e, l, ok := f.start(c, level)
	e.Method = fmt.Sprintf("mixed model, %s, t on Satterthwaite df", f.Likelihood)
	if !ok {
		return e
	}
	v := sandwich.Quadratic(f.derivs().cov, l)
	e.SE, e.DF = math.Sqrt(v), f.satterthwaite(l, v)
	f.complete(&e)
	return e
}

// KenwardRoger estimates c'b with the bias-adjusted standard error and degrees
// of freedom of Kenward & Roger (1997, Biometrics 53:983-997, section 4). It
// is meant for REML fits. It is cautious where cases are few and differ little:
// a nominal 95 % interval of a difference between cases covers, in this
// package's simulation, up to 99.3 % with 10 cases and no correlation within a
// case, 98.3 % with 20, 98.0 % with 10 and a correlation of 0.1, since the
// estimated variance between cases cannot fall below 0. With 0.4, and for
// differences within cases, it covers 94.2 to 95.8 %.
func (f *MixedFit) KenwardRoger(c []float64, level float64) stats.Estimate {
	e, l, ok := f.start(c, level)
	e.Method = fmt.Sprintf("mixed model, %s, t with Kenward-Roger SE and df", f.Likelihood)
	if !ok {
		return e
	}
	v, df := f.kenwardRoger(l)
	e.SE, e.DF = math.Sqrt(v), df
	f.complete(&e)
	return e
}

func (f *MixedFit) complete(e *stats.Estimate) {
	if !(e.DF > 0) || !(e.SE > 0) {
		e.NotEstimable(stats.Warning{ID: "no-df", Text: "the degrees of freedom cannot be estimated", Remedy: "simplify the model"})
		return
	}
	e.SetLimits()
	e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
	e.WarnFewClusters()
}

func (f *MixedFit) start(c []float64, level float64) (e stats.Estimate, l []float64, ok bool) {
	e, l, ok = sandwich.StartContrast(f.s.o, f.N, f.Clusters, c, level)
	if ok && !f.Status.Usable() {
		e.Value = math.NaN()
		e.NotEstimable(f.Warnings[len(f.Warnings)-1])
		return e, nil, false
	}
	if ok {
		e.Value += numeric.Dot(l, f.at.gamma)
	}
	return e, l, ok
}

// satterthwaite works in the elements of the lower factor of the ratios and
// the residual standard deviation, in which the criterion is smooth also at
// the boundary.
func (f *MixedFit) satterthwaite(l []float64, v float64) float64 {
	d, s := f.derivs(), f.s
	grad, hess, _ := d.criterion(s)
	jac, curve := s.chart(ratioFactor(s.r, f.at.d, f.at.sigma2), f.at.sigma2)
	k := d.k
	dv := make([]float64, k) // of v in the linear parameters: l'Phi P_i Phi l
	phiL := make([]float64, s.o.P)
	numeric.SymVec(d.cov, l, phiL)
	for i := range k {
		dv[i] = quadraticBlock(s.o.P, d.p[i], phiL)
	}
	_, h := intoChart(grad, hess, jac, curve)
	g := make([]float64, k)
	for a := range k {
		for i := range k {
			g[a] += dv[i] * jac[i*k+a]
		}
	}
	return 2 * v * v / (2 * pseudoQuadratic(k, h, g))
}

// quadraticBlock is x'Px with the leading block of P ((p+1) x (p+1)).
func quadraticBlock(p int, m, x []float64) (t float64) {
	for i, v := range x {
		t += v * numeric.Dot(m[i*(p+1):i*(p+1)+p], x)
	}
	return t
}

// chart gives the first and second derivatives of the linear parameters (s2,
// then d = s2 LL') in the elements of L and the residual standard deviation.
func (s *mixedSums) chart(l []float64, sigma2 float64) (jac []float64, curve [][]float64) {
	sd := math.Sqrt(sigma2)
	k := len(l) + 1
	last := k - 1
	jac, curve = make([]float64, k*k), make([][]float64, k)
	for i := range curve {
		curve[i] = make([]float64, k*k)
	}
	set := func(i, a, b int, v float64) { curve[i][a*k+b], curve[i][b*k+a] = v, v }
	jac[last], curve[0][last*k+last] = 2*sd, 2
	// Each d_i is s2 times a sum of products of elements of L.
	for i, pairs := range [][][2]int{{{0, 0}}, {{0, 1}}, {{1, 1}, {2, 2}}}[:k-1] {
		ratio := 0.0
		for _, ab := range pairs {
			a, b := ab[0], ab[1]
			ratio += l[a] * l[b]
			jac[(i+1)*k+a] += sigma2 * l[b]
			jac[(i+1)*k+b] += sigma2 * l[a]
			set(i+1, a, b, sigma2)
			if a == b {
				set(i+1, a, a, 2*sigma2)
			}
		}
		for _, a := range []int{0, 1, 2} {
			if a < last {
				set(i+1, a, last, 2/sd*jac[(i+1)*k+a])
			}
		}
		jac[(i+1)*k+last] = 2 * sd * ratio
		set(i+1, last, last, 2*ratio)
	}
	return jac, curve
}

// pseudoQuadratic is g'H^-1 g; directions in which g is nought and H singular
// (a component at the boundary) are left out.
func pseudoQuadratic(k int, h, g []float64) float64 {
	var keep []int
	for i := range k {
		if h[i*k+i] > 0 && g[i] != 0 || h[i*k+i] > 1e-9 {
			keep = append(keep, i)
		}
	}
	n := len(keep)
	a, b := make([]float64, n*n), make([]float64, n)
	for x, i := range keep {
		b[x] = g[i]
		for y, j := range keep {
			a[x*n+y] = h[i*k+j]
		}
	}
	c, ok := numeric.Cholesky(n, a)
	if !ok {
		return math.NaN()
	}
	c.Forward(b)
	return numeric.Dot(b, b)
}

// varianceOfParameters is W, the covariance of the variance parameters from the
// expected information: 2 (tr P G_i P G_j)^-1.
func (f *MixedFit) varianceOfParameters() ([]float64, bool) {
	d := f.derivs()
	_, _, expected := d.criterion(f.s)
	c, ok := numeric.Cholesky(d.k, expected)
	if !ok {
		return nil, false
	}
	w := c.Inverse()
	numeric.Scale(2, w)
	return w, true
}

// adjustedCov is Phi + 2 Phi (sum_ij W_ij (Q_ij - P_i Phi P_j)) Phi (Kenward &
// Roger 1997, equation 5 with R_ij = 0, V being linear in its parameters).
func (f *MixedFit) adjustedCov(w []float64) []float64 {
	d, p := f.derivs(), f.s.o.P
	k, u := d.k, f.s.o.P+1
	sum := make([]float64, p*p)
	phiP := make([][]float64, k)
	for i := range k {
		phiP[i] = timesBlock(p, u, d.cov, d.p[i])
	}
	for i := range k {
		for j := range k {
			wij := w[i*k+j]
			for a := range p {
				numeric.Axpy(wij, d.q[i*k+j][a*u:a*u+p], sum[a*p:(a+1)*p])
				for b := range p {
					numeric.Axpy(-wij*d.p[i][a*u+b], phiP[j][b*p:(b+1)*p], sum[a*p:(a+1)*p])
				}
			}
		}
	}
	out := numeric.MatMul(p, numeric.MatMul(p, d.cov, sum), d.cov)
	numeric.Scale(2, out)
	numeric.Axpy(1, d.cov, out)
	for i := range p { // W is symmetric, so the sum is; rounding is not
		for j := range i {
			v := (out[i*p+j] + out[j*p+i]) / 2
			out[i*p+j], out[j*p+i] = v, v
		}
	}
	return out
}

// kenwardRoger gives the adjusted variance of c'b and the degrees of freedom.
// For one contrast the F scaling is 1 and the df are 2/A with
// A = sum_ij W_ij t_i t_j / (l'Phi l)^2, t_i = l'Phi P_i Phi l (Kenward &
// Roger 1997, section 3, where A1 = A2 for one contrast).
func (f *MixedFit) kenwardRoger(l []float64) (variance, df float64) {
	w, ok := f.varianceOfParameters()
	if !ok {
		return math.NaN(), math.NaN()
	}
	d, p := f.derivs(), f.s.o.P
	x := make([]float64, p)
	numeric.SymVec(d.cov, l, x)
	v := numeric.Dot(x, l)
	t := make([]float64, d.k)
	for i := range t {
		t[i] = quadraticBlock(p, d.p[i], x)
	}
	sum := 0.0
	for i := range t {
		for j := range t {
			sum += w[i*d.k+j] * t[i] * t[j]
		}
	}
	return sandwich.Quadratic(f.adjustedCov(w), l), 2 * v * v / sum
}
