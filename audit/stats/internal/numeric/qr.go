package numeric

import (
	"math"
)

// Short dense kernels: rows here are as long as a model has columns, so plain
// loops beat a call into a library.

// Dot is a'b.
func Dot(a, b []float64) (s float64) {
	b = b[:len(a)]
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

// Axpy adds s*a to b.
func Axpy(s float64, a, b []float64) {
	b = b[:len(a)]
	for i, v := range a {
		b[i] += s * v
	}
}

// Scale multiplies a by s in place.
func Scale(s float64, a []float64) {
	for i := range a {
		a[i] *= s
	}
}

// AddOuter adds s*a*a' to the upper triangle of the p x p matrix m.
func AddOuter(s float64, a, m []float64) {
	p := len(a)
	for i, v := range a {
		if v != 0 {
			Axpy(s*v, a[i:], m[i*p+i:(i+1)*p])
		}
	}
}

// AddOuter4 adds the sum of w t t' of four rows to the upper triangle of the p x p matrix
// m, two of its rows at a time, so that each number is loaded once for many products
// (see BenchmarkAddOuter4).
func AddOuter4(w *[4]float64, t *[4][]float64, m []float64) {
	p, i := len(t[0]), 0
	for ; i+1 < p; i += 2 {
		a, b, c, d := t[0][i:p], t[1][i:p], t[2][i:p], t[3][i:p]
		b, c, d = b[:len(a)], c[:len(a)], d[:len(a)]
		u0, u1, u2, u3 := w[0]*a[0], w[1]*b[0], w[2]*c[0], w[3]*d[0]
		v0, v1, v2, v3 := w[0]*a[1], w[1]*b[1], w[2]*c[1], w[3]*d[1]
		row, next := m[i*p+i:(i+1)*p], m[(i+1)*p+i:(i+2)*p]
		row, next = row[:len(a)], next[:len(a)]
		row[0] += u0*a[0] + u1*b[0] + u2*c[0] + u3*d[0]
		for j := 1; j < len(a); j++ {
			x, y, z, s := a[j], b[j], c[j], d[j]
			row[j] += u0*x + u1*y + u2*z + u3*s
			next[j] += v0*x + v1*y + v2*z + v3*s
		}
	}
	if i < p {
		m[i*p+i] += w[0]*t[0][i]*t[0][i] + w[1]*t[1][i]*t[1][i] + w[2]*t[2][i]*t[2][i] + w[3]*t[3][i]*t[3][i]
	}
}

// Ones are the weights of four rows that count alike.
var Ones = [4]float64{1, 1, 1, 1}

// Quarters are four rows of p numbers, one after the other.
func Quarters(rows []float64, p int) *[4][]float64 {
	return &[4][]float64{rows[:p], rows[p : 2*p], rows[2*p : 3*p], rows[3*p : 4*p]}
}

// Mirror copies the upper triangle of the p x p matrix m to the lower.
func Mirror(p int, m []float64) {
	for i := range p {
		for j := range i {
			m[i*p+j] = m[j*p+i]
		}
	}
}

// SymVec writes m*a into out for a full p x p matrix m.
func SymVec(m, a, out []float64) {
	p := len(a)
	for i := range p {
		out[i] = Dot(m[i*p:(i+1)*p], a)
	}
}

// qrBlock rows are folded into the triangle at a time: small enough to stay
// in the first-level cache.
const qrBlock = 96

// StreamQR gives the (width+1) x (width+1) triangular factor of
// W^(1/2)[X y], row-major.
func StreamQR(x, y, rootW []float64, width int) []float64 {
	q := width + 1
	r := make([]float64, q*q)
	block := make([]float64, qrBlock*q)
	w := make([]float64, q)
	for from := 0; from < len(y); from += qrBlock {
		rows := min(qrBlock, len(y)-from)
		for k := range rows {
			i := from + k
			row := block[k*q : (k+1)*q]
			copy(row, x[i*width:(i+1)*width])
			row[width] = y[i]
			if rootW != nil {
				Scale(rootW[i], row)
			}
		}
		foldRows(r, block[:rows*q], w)
	}
	return r
}

// foldRows updates the triangle r of q columns with more rows by Householder
// reflections; reflector j touches row j of r and all rows of the block. The
// block is overwritten.
func foldRows(r, block, w []float64) {
	q := len(w)
	for j := range q {
		norm2 := 0.0
		for k := j; k < len(block); k += q {
			norm2 += block[k] * block[k]
		}
		if norm2 == 0 {
			continue
		}
		head := r[j*q+j]
		alpha := -math.Copysign(math.Sqrt(head*head+norm2), head)
		v0 := head - alpha
		tau := 2 / (v0*v0 + norm2)
		r[j*q+j] = alpha
		rest := w[j+1:]
		top := r[j*q+j+1 : (j+1)*q]
		for i, v := range top {
			rest[i] = v0 * v
		}
		for k := 0; k < len(block); k += q {
			if v := block[k+j]; v != 0 {
				Axpy(v, block[k+j+1:k+q], rest)
			}
		}
		Scale(tau, rest)
		Axpy(-v0, rest, top)
		for k := 0; k < len(block); k += q {
			if v := block[k+j]; v != 0 {
				Axpy(-v, rest, block[k+j+1:k+q])
			}
		}
	}
}

// Reflect zeroes column j of the q x q matrix r below row k.
func Reflect(r []float64, q, k, j int) {
	tail := 0.0
	for i := k + 1; i < q; i++ {
		tail = math.Hypot(tail, r[i*q+j])
	}
	if tail == 0 {
		return
	}
	head := r[k*q+j]
	alpha := -math.Copysign(math.Hypot(head, tail), head)
	v := make([]float64, q)
	v[k] = head - alpha
	for i := k + 1; i < q; i++ {
		v[i] = r[i*q+j]
	}
	tau := 2 / Dot(v[k:], v[k:])
	for c := j; c < q; c++ {
		s := 0.0
		for i := k; i < q; i++ {
			s += v[i] * r[i*q+c]
		}
		for i := k; i < q; i++ {
			r[i*q+c] -= tau * s * v[i]
		}
	}
}
