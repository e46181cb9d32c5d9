package stats

import "math"

// choleskySolve solves a x = b for a symmetric positive definite p x p matrix
// (full storage) and reports whether it was positive definite.
func choleskySolve(p int, a, b, x []float64) bool {
	r, ok := cholesky(p, a)
	if !ok {
		return false
	}
	copy(x, b)
	r.solve(x)
	return true
}

// chol is the lower triangular factor C of A = C C', row-major.
type chol struct {
	p int
	c []float64
}

func cholesky(p int, a []float64) (chol, bool) {
	c := make([]float64, p*p)
	for i := range p {
		for j := 0; j <= i; j++ {
			s := a[i*p+j] - dot(c[i*p:i*p+j], c[j*p:j*p+j])
			if i != j {
				c[i*p+j] = s / c[j*p+j]
				continue
			}
			if !(s > 1e-14*math.Abs(a[i*p+i])) {
				return chol{}, false
			}
			c[i*p+i] = math.Sqrt(s)
		}
	}
	return chol{p, c}, true
}

// forward replaces b by C^-1 b.
func (r chol) forward(b []float64) {
	for i := range r.p {
		b[i] = (b[i] - dot(r.c[i*r.p:i*r.p+i], b)) / r.c[i*r.p+i]
	}
}

// solve replaces b by A^-1 b.
func (r chol) solve(b []float64) {
	r.forward(b)
	for i := r.p - 1; i >= 0; i-- {
		b[i] /= r.c[i*r.p+i]
		axpy(-b[i], r.c[i*r.p:i*r.p+i], b)
	}
}

// logDet is log det A.
func (r chol) logDet() (s float64) {
	for i := range r.p {
		s += 2 * math.Log(r.c[i*r.p+i])
	}
	return s
}

// inverse is A^-1.
func (r chol) inverse() []float64 {
	out := make([]float64, r.p*r.p)
	col := make([]float64, r.p)
	for j := range r.p {
		clear(col)
		col[j] = 1
		r.solve(col)
		for i, v := range col {
			out[i*r.p+j] = v
		}
	}
	return out
}

func nanMatrix(p int) []float64 {
	out := make([]float64, p*p)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}
