package mixed

import (
	"fmt"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// JointTest tests that all contrasts are zero by the scaled F of Kenward &
// Roger (1997, Biometrics 53:983-997, section 3). It is meant for REML fits.
func (f *MixedFit) JointTest(contrasts [][]float64) stats.JointTest {
	q := len(contrasts)
	t := stats.JointTest{DF1: float64(q), Method: fmt.Sprintf("mixed model, %s, F with Kenward-Roger scaling and df", f.Likelihood)}
	if !f.Status.Usable() {
		return t.Fail(f.Warnings[len(f.Warnings)-1])
	}
	l, value, ok := sandwich.JointCoordinates(f.s.o, contrasts)
	if !ok {
		return t.Fail(sandwich.SingularContrasts)
	}
	for i := range value {
		value[i] += numeric.Dot(l[i], f.at.gamma)
	}
	w, ok := f.varianceOfParameters()
	phi, okPhi := numeric.Cholesky(q, sandwich.Quadratics(f.derivs().cov, l))
	if !ok || !okPhi {
		return t.Fail(sandwich.SingularContrasts)
	}
	stat, ok := sandwich.WaldStatistic(q, sandwich.Quadratics(f.adjustedCov(w), l), value)
	if !ok {
		return t.Fail(sandwich.SingularContrasts)
	}
	lambda, df := f.kenwardRogerF(w, phi.Whiten(l))
	if !(df > 0) {
		return t.Fail(stats.Warning{ID: "no-df", Text: "the degrees of freedom cannot be estimated", Remedy: "simplify the model"})
	}
	t.F, t.DF2 = lambda*stat/t.DF1, df
	t.P = dist.FTail(t.F, t.DF1, t.DF2)
	return t
}

// kenwardRogerF gives scale and denominator df for whitened contrasts l
// (l_s'Phi l_t = identity); names as in Kenward & Roger 1997, section 3.
func (f *MixedFit) kenwardRogerF(w []float64, l [][]float64) (lambda, df float64) {
	d, p, q := f.derivs(), f.s.o.P, len(l)
	k := d.k
	u := make([][]float64, k) // l'Phi P_i Phi l, q x q
	tr := make([]float64, k)
	for i := range k {
		phiPphi := numeric.MatMul(p, timesBlock(p, p+1, d.cov, d.p[i]), d.cov)
		u[i] = sandwich.Quadratics(phiPphi, l)
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
