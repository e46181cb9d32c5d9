package numeric

import (
	"math"
)

// CholeskySolve solves a x = b for a symmetric positive definite p x p matrix
// (full storage), which it overwrites, and reports whether it was positive definite.
func CholeskySolve(p int, a, b, x []float64) bool {
	r, ok := cholesky(p, a, a)
	if !ok {
		return false
	}
	copy(x, b)
	r.Solve(x)
	return true
}

// Chol is the lower triangular factor C of A = C C', row-major.
type Chol struct {
	p int
	c []float64
}

// Cholesky factors a symmetric p x p matrix; false where it is not positive definite.
func Cholesky(p int, a []float64) (Chol, bool) {
	return cholesky(p, a, make([]float64, p*p))
}

// cholesky is Cholesky in the memory of c, which may be a: its upper part stays.
func cholesky(p int, a, c []float64) (Chol, bool) {
	for i := range p {
		for j := 0; j <= i; j++ {
			s := a[i*p+j] - Dot(c[i*p:i*p+j], c[j*p:j*p+j])
			if i != j {
				c[i*p+j] = s / c[j*p+j]
				continue
			}
			if !(s > 1e-14*math.Abs(a[i*p+i])) {
				return Chol{}, false
			}
			c[i*p+i] = math.Sqrt(s)
		}
	}
	return Chol{p, c}, true
}

// Forward replaces b by C^-1 b.
func (r Chol) Forward(b []float64) {
	for i := range r.p {
		b[i] = (b[i] - Dot(r.c[i*r.p:i*r.p+i], b)) / r.c[i*r.p+i]
	}
}

// Solve replaces b by A^-1 b.
func (r Chol) Solve(b []float64) {
	r.Forward(b)
	for i := r.p - 1; i >= 0; i-- {
		b[i] /= r.c[i*r.p+i]
		Axpy(-b[i], r.c[i*r.p:i*r.p+i], b)
	}
}

// LogDet is log det A.
func (r Chol) LogDet() (s float64) {
	for i := range r.p {
		s += 2 * math.Log(r.c[i*r.p+i])
	}
	return s
}

// NaNMatrix is p x p of NaN.
func NaNMatrix(p int) []float64 {
	out := make([]float64, p*p)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

// MatMul is the product of two d x d matrices.
func MatMul(d int, a, b []float64) []float64 {
	out := make([]float64, d*d)
	for i := range d {
		for k := range d {
			Axpy(a[i*d+k], b[k*d:(k+1)*d], out[i*d:(i+1)*d])
		}
	}
	return out
}

// Whitening is C^-1', p x p: with it A becomes the identity, W'AW = I.
func (r Chol) Whitening() []float64 {
	p := r.p
	out, column := make([]float64, p*p), make([]float64, p)
	for j := range p {
		clear(column)
		column[j] = 1
		r.Forward(column)
		for i, v := range column {
			out[j*p+i] = v
		}
	}
	return out
}
