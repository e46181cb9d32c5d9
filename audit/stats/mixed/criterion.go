package mixed

import (
	"shortfall/audit/stats/internal/numeric"
)

// criterion gives gradient and second derivatives of -2 log likelihood in the
// parameters, and the expected second derivatives (Searle, Casella &
// McCulloch 1992, Variance Components, 6.6 and 6.3).
func (d mixedDerivatives) criterion(s *mixedSums) (grad, observed, expected []float64) {
	k, u := d.k, s.o.P+1
	p := s.o.P
	grad, observed, expected = make([]float64, k), make([]float64, k*k), make([]float64, k*k)
	phiP := make([][]float64, k) // Phi P_i
	pa := make([][]float64, k)   // P_i a
	for i := range k {
		phiP[i] = timesBlock(p, u, d.cov, d.p[i])
		pa[i] = make([]float64, u)
		numeric.SymVec(d.p[i], d.a, pa[i])
		grad[i] = d.trace[i] - numeric.Dot(pa[i], d.a)
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
			numeric.SymVec(d.q[i*k+j], d.a, qa)
			numeric.SymVec(d.cov, pa[j][:p], v)
			observed[i*k+j] = -tr + 2*(numeric.Dot(qa, d.a)-numeric.Dot(v, pa[i][:p]))
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
			numeric.Axpy(a[i*p+k], b[k*u:k*u+p], out[i*p:(i+1)*p])
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
		t += numeric.Dot(d.cov[i*p:(i+1)*p], q[i*u:i*u+p])
	}
	return t
}
