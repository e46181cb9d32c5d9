package sandwich

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// block is one cluster of a PlainSandwich: as N_g = T_g'T_g where it has many
// rows, as the k rows of T_g where it has few (n is nil).
type block struct {
	p, k int
	n    []float64 // p x p
	rows []float64 // k x p
	t    []float64 // T_g'e_g
	c, d []float64 // scratch
	h    []float64 // scratch, k x k
}

// times writes N_g x into out.
func (b *block) times(x, out []float64) {
	if b.n != nil {
		numeric.SymVec(b.n, x, out)
		return
	}
	clear(out)
	for k := range b.k {
		row := b.rows[k*b.p : (k+1)*b.p]
		numeric.Axpy(numeric.Dot(row, x), row, out)
	}
}

// apply writes F_g x into out, F_g the correction of f. With few rows it uses,
// for any function F of I - N_g with F(I) = I,
//
//	F(I - T'T) x = x + T' g(H) T x,  g(v) = (F(1-v) - 1)/v,  H = T T',
//
// which the series of F shows term by term.
func (b *block) apply(f *adjuster, x, out []float64) {
	if b.n != nil || f.kind == stats.CR0 || f.kind == stats.CR1 {
		f.apply(b.n, x, out)
		return
	}
	copy(out, x)
	k, p := b.k, b.p
	c, h := b.c[:k], b.h[:k*k]
	size := 0.0
	for i := range k {
		row := b.rows[i*p : (i+1)*p]
		c[i] = numeric.Dot(row, x)
		for j := range i + 1 {
			v := numeric.Dot(row, b.rows[j*p:(j+1)*p])
			h[i*k+j], h[j*k+i] = v, v
		}
	}
	for _, v := range h {
		size += v * v
	}
	switch size = math.Sqrt(size); {
	case k == 1:
		c[0] *= f.excess(h[0])
	case size < seriesLimit:
		f.excessSeries(h, size, c, b.d[:k])
	default:
		f.excessEigen(h, c)
	}
	for i, v := range c {
		numeric.Axpy(v, b.rows[i*p:(i+1)*p], out)
	}
}

// excess is g(v) = (F(1-v) - 1)/v; a direction its cluster alone determines is
// left out, F = 0 (pseudo-inverse).
func (f *adjuster) excess(v float64) float64 {
	gap := 1 - v
	switch {
	case gap <= singular:
		return -1 / v
	case f.kind == stats.CR3:
		return 1 / gap
	}
	// (gap^(-1/2) - 1)/v without cancellation.
	root := math.Sqrt(gap)
	return 1 / (root * (1 + root))
}

// excessSeries replaces c by g(H) c = sum_(k>=1) a_k H^(k-1) c, a_k =
// binom(2k,k)/4^k for CR2 and 1 for CR3. next is scratch.
func (f *adjuster) excessSeries(h []float64, size float64, c, next []float64) {
	k := len(c)
	term := f.term[:k]
	first := 1.0
	if f.kind == stats.CR2 {
		first = 0.5
	}
	for i, v := range c {
		term[i] = first * v
	}
	copy(c, term)
	left := size
	for m := 2.0; left > 1e-17; m++ {
		numeric.SymVec(h, term, next)
		by := 1.0
		if f.kind == stats.CR2 {
			by = (2*m - 1) / (2 * m)
		}
		for i, v := range next {
			term[i] = by * v
			c[i] += term[i]
		}
		left *= size
	}
}

// excessEigen replaces c by g(H) c through the eigenvectors of H.
func (f *adjuster) excessEigen(h, c []float64) {
	k := len(c)
	values, vectors, ok := numeric.SymmetricEigen(h, k)
	if !ok {
		numeric.Scale(math.NaN(), c) // not reached for finite numbers
		return
	}
	out := make([]float64, k)
	for j, v := range values {
		by := f.excess(max(v, 0))
		s := 0.0
		for i := range k {
			s += vectors.At(i, j) * c[i]
		}
		for i := range k {
			out[i] += by * s * vectors.At(i, j)
		}
	}
	copy(c, out)
}
