package stats

import (
	"fmt"
	"math"
)

// JointTest is a test that several contrasts are all zero.
type JointTest struct {
	F        float64 // scaled so that it is referred to F on DF1, DF2
	DF1, DF2 float64
	P        float64 // NaN where the data cannot carry the test
	Method   string
	Warnings []Warning
}

func (t *JointTest) fail(w Warning) JointTest {
	t.F, t.DF2, t.P = math.NaN(), math.NaN(), math.NaN()
	t.Warnings = append(t.Warnings, w)
	return *t
}

var singularContrasts = Warning{
	"not-estimable", "the data cannot separate the comparisons of this joint test",
	"test fewer of them, or drop one that follows from the others",
}

// JointTest tests that all contrasts (rows over the columns of the model) are
// zero by the approximate Hotelling T^2 test with small-sample degrees of
// freedom (Pustejovsky & Tipton 2018, section 3.2, equation 11; the HTZ test
// of R's clubSandwich). Panics where a row does not fit the columns.
func (f *LinearFit) JointTest(contrasts [][]float64) JointTest {
	return robustJoint(f.design, f.robust, contrasts, fmt.Sprintf("approximate Hotelling T-squared, %s variance by case", f.Variance))
}

// JointTest is the same test for a count model, on the log scale.
func (f *CountFit) JointTest(contrasts [][]float64) JointTest {
	t := JointTest{DF1: float64(len(contrasts))}
	if f.design == nil || !f.Status.Usable() {
		return t.fail(f.Warnings[len(f.Warnings)-1])
	}
	return robustJoint(f.design, f.robust, contrasts, fmt.Sprintf("approximate Hotelling T-squared, %s variance by case", f.Variance))
}

func robustJoint(o *orthonormal, s sandwich, contrasts [][]float64, method string) JointTest {
	q := len(contrasts)
	t := JointTest{DF1: float64(q), Method: method}
	if s == nil {
		return t.fail(oneCluster)
	}
	l, value, ok := jointCoordinates(o, contrasts)
	if !ok {
		return t.fail(singularContrasts)
	}
	stat, ok := waldStatistic(q, quadratics(s.meat(), l), value)
	if !ok {
		return t.fail(singularContrasts)
	}
	// Rotate so that the variance expects the identity, then nu = q(q+1) over
	// the summed variances of its elements.
	root, ok := cholesky(q, s.moments(l).mean)
	if !ok {
		return t.fail(singularContrasts)
	}
	m := s.moments(root.whiten(l))
	spread := 0.0
	for i := range m.spread {
		spread += m.spread[i] + m.cross[i]
	}
	nu := t.DF1 * (t.DF1 + 1) / spread
	t.DF2 = nu - t.DF1 + 1
	if !(t.DF2 > 0) {
		return t.fail(Warning{"few-df", "too few cases for a joint test of so many comparisons", "test them one by one, or add cases"})
	}
	t.F = t.DF2 / nu * stat / t.DF1
	t.P = fTail(t.F, t.DF1, t.DF2)
	if t.DF2 < fewDF {
		t.Warnings = append(t.Warnings, Warning{"few-df", fmt.Sprintf("only %.1f denominator degrees of freedom (fewer than %d): P is rough", t.DF2, fewDF), "add cases"})
	}
	return t
}

func jointCoordinates(o *orthonormal, contrasts [][]float64) (l [][]float64, value []float64, ok bool) {
	if len(contrasts) == 0 {
		panic("stats: joint test of no contrasts")
	}
	for _, c := range contrasts {
		if len(c) != o.width {
			panic(fmt.Sprintf("stats: contrast of %d numbers for %d columns", len(c), o.width))
		}
		x, ok := o.coordinates(c)
		if !ok {
			return nil, nil, false
		}
		l, value = append(l, x), append(value, o.value(c))
	}
	return l, value, true
}

// quadratics is the q x q matrix l_s'A l_t.
func quadratics(a []float64, l [][]float64) []float64 {
	q := len(l)
	out, v := make([]float64, q*q), make([]float64, len(l[0]))
	for i := range q {
		symVec(a, l[i], v)
		for j := range q {
			out[i*q+j] = dot(v, l[j])
		}
	}
	return out
}

// waldStatistic is b'V^-1 b.
func waldStatistic(q int, v, b []float64) (float64, bool) {
	c, ok := cholesky(q, v)
	if !ok {
		return math.NaN(), false
	}
	x := append([]float64(nil), b...)
	c.forward(x)
	return dot(x, x), true
}

// whiten applies C^-1 across the vectors.
func (r chol) whiten(l [][]float64) [][]float64 {
	out := make([][]float64, r.p)
	for i := range r.p {
		out[i] = append([]float64(nil), l[i]...)
		for j := range i {
			axpy(-r.c[i*r.p+j], out[j], out[i])
		}
		scale(1/r.c[i*r.p+i], out[i])
	}
	return out
}

// JointTest tests that all contrasts are zero by the scaled F of Kenward &
// Roger (1997, Biometrics 53:983-997, section 3). It is meant for REML fits.
func (f *MixedFit) JointTest(contrasts [][]float64) JointTest {
	q := len(contrasts)
	t := JointTest{DF1: float64(q), Method: fmt.Sprintf("mixed model, %s, F with Kenward-Roger scaling and df", f.Likelihood)}
	if !f.Status.Usable() {
		return t.fail(f.Warnings[len(f.Warnings)-1])
	}
	l, value, ok := jointCoordinates(f.s.o, contrasts)
	if !ok {
		return t.fail(singularContrasts)
	}
	for i := range value {
		value[i] += dot(l[i], f.at.gamma)
	}
	w, ok := f.varianceOfParameters()
	phi, okPhi := cholesky(q, quadratics(f.derivs().cov, l))
	if !ok || !okPhi {
		return t.fail(singularContrasts)
	}
	stat, ok := waldStatistic(q, quadratics(f.adjustedCov(w), l), value)
	if !ok {
		return t.fail(singularContrasts)
	}
	lambda, df := f.kenwardRogerF(w, phi.whiten(l))
	if !(df > 0) {
		return t.fail(Warning{"no-df", "the degrees of freedom cannot be estimated", "simplify the model"})
	}
	t.F, t.DF2 = lambda*stat/t.DF1, df
	t.P = fTail(t.F, t.DF1, t.DF2)
	return t
}

// kenwardRogerF gives scale and denominator df for whitened contrasts l
// (l_s'Phi l_t = identity); names as in Kenward & Roger 1997, section 3.
func (f *MixedFit) kenwardRogerF(w []float64, l [][]float64) (lambda, df float64) {
	d, p, q := f.derivs(), f.s.o.p, len(l)
	k := d.k
	u := make([][]float64, k) // l'Phi P_i Phi l, q x q
	tr := make([]float64, k)
	for i := range k {
		phiPphi := matMul(p, timesBlock(p, p+1, d.cov, d.p[i]), d.cov)
		u[i] = quadratics(phiPphi, l)
		for j := range q {
			tr[i] += u[i][j*q+j]
		}
	}
	var a1, a2 float64
	for i := range k {
		for j := range k {
			a1 += w[i*k+j] * tr[i] * tr[j]
			a2 += w[i*k+j] * traceProduct(q, u[i], u[j])
		}
	}
	n := float64(q)
	b := (a1 + 6*a2) / (2 * n)
	g := ((n+1)*a1 - (n+4)*a2) / ((n + 2) * a2)
	den := 3*n + 2*(1-g)
	c1, c2, c3 := g/den, (n-g)/den, (n+2-g)/den
	e := 1 / (1 - a2/n)
	v := 2 / n * (1 + c1*b) / ((1 - c2*b) * (1 - c2*b) * (1 - c3*b))
	rho := v / (2 * e * e)
	df = 4 + (n+2)/(n*rho-1)
	return df / (e * (df - 2)), df
}
