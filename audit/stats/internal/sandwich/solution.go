package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// Solution is what of a least-squares fit needs no rows: its coefficients, and the
// coordinates T = W^(1/2) X L in which its columns are orthonormal.
type Solution struct {
	P       int
	Width   int   // columns of x
	Cols    []int // the p columns kept
	Dropped []int // columns that depend on those before them
	alias   []float64
	L       []float64 // p x p, upper triangular
	Coef    []float64 // p least-squares coefficients
	RSS     float64   // weighted
}

// project writes L'x into t for one row x of the full width.
func (o *Solution) project(x, t []float64) {
	clear(t)
	p := o.P
	for a, col := range o.Cols {
		if v := x[col]; v != 0 {
			numeric.Axpy(v, o.L[a*p+a:(a+1)*p], t[a:])
		}
	}
}

// Coordinates gives L'c for a contrast c over all columns; ok is false where
// c'b is not estimable, that is, where c is not in the row space of X.
func (o *Solution) Coordinates(c []float64) (l []float64, ok bool) {
	size := 0.0
	for _, v := range c {
		size = math.Max(size, math.Abs(v))
	}
	for k, col := range o.Dropped { // X_dropped = X_kept A, so c_dropped must be A'c_kept
		want := 0.0
		reach := size
		for a, kept := range o.Cols {
			term := o.alias[k*o.P+a] * c[kept]
			want += term
			reach = math.Max(reach, math.Abs(term))
		}
		if math.Abs(want-c[col]) > 1e-6*reach {
			return nil, false
		}
	}
	l = make([]float64, o.P)
	o.project(c, l)
	return l, true
}

// Value is c'b over the kept columns.
func (o *Solution) Value(c []float64) (v float64) {
	for a, col := range o.Cols {
		v += c[col] * o.Coef[a]
	}
	return v
}

// Size is the length of W^(1/2)y: sqrt(RSS + gamma'gamma), gamma = T'W^(1/2)y from
// L gamma = coef.
func (o *Solution) Size() float64 {
	p, sum := o.P, o.RSS
	gamma := append([]float64(nil), o.Coef...)
	for a := p - 1; a >= 0; a-- {
		gamma[a] -= numeric.Dot(o.L[a*p+a+1:(a+1)*p], gamma[a+1:])
		gamma[a] /= o.L[a*p+a]
		sum += gamma[a] * gamma[a]
	}
	return math.Sqrt(sum)
}

// Unproject gives the covariance of all coefficients, width x width, from one
// in coordinates of T: L A L', with NaN for dropped columns.
func (o *Solution) Unproject(a []float64) []float64 {
	p, w := o.P, o.Width
	out := numeric.NaNMatrix(w)
	left := make([]float64, p)
	for i, ci := range o.Cols {
		clear(left)
		for k := i; k < p; k++ {
			numeric.Axpy(o.L[i*p+k], a[k*p:(k+1)*p], left)
		}
		for j, cj := range o.Cols {
			out[ci*w+cj] = numeric.Dot(left[j:], o.L[j*p+j:(j+1)*p])
		}
	}
	return out
}
