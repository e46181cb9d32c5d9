package sandwich

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// adjuster applies the small-sample correction of one kind, a function F of
// I - N, to vectors; N is N_g or H_g of a cluster.
type adjuster struct {
	kind           stats.Variance
	factor         float64 // of CR1
	term, next     []float64
	copied         []float64 // scratch of eigenvectors
	values, vector []float64
}

// newAdjuster is for matrices of up to p rows.
func newAdjuster(p int, kind stats.Variance, clusters int) *adjuster {
	m := float64(clusters)
	return &adjuster{
		kind: kind, factor: math.Sqrt(m / (m - 1)), term: make([]float64, p), next: make([]float64, p),
		copied: make([]float64, p*p), values: make([]float64, p), vector: make([]float64, p*p),
	}
}

// seriesLimit is the size of N below which its powers die out fast enough
// for a series; with many clusters nearly all are below it.
const seriesLimit = 0.3

// singular is the eigenvalue of I - N at or below which a direction counts as
// determined by its cluster alone and is left out (pseudo-inverse).
const singular = 1e-10

// apply writes F x into out, F = I, sqrt(m/(m-1)) I, (I-N)^(-1/2), (I-N)^-1.
func (f *adjuster) apply(n, x, out []float64) {
	copy(out, x)
	switch f.kind {
	case stats.CR0:
	case stats.CR1:
		numeric.Scale(f.factor, out)
	default:
		switch norm := math.Sqrt(numeric.Dot(n, n)); {
		case len(x) == 1:
			out[0] *= f.of(n[0])
		case norm < seriesLimit && len(x) == 2 && f.kind == stats.CR2:
			rootOfTwo(n, out)
		case norm < seriesLimit:
			f.series(n, norm, out)
		default:
			f.decompose(n, x, out)
		}
	}
}

// of is F where N is v.
func (f *adjuster) of(v float64) float64 {
	gap := 1 - v
	switch {
	case gap <= singular:
		return 0
	case f.kind == stats.CR2:
		return 1 / math.Sqrt(gap)
	}
	return 1 / gap
}

// rootOfTwo writes (I-N)^(-1/2) x over x for a small N of two rows: the root of B = I-N is
// (B + sI)/t with s^2 = |B| and t^2 = tr B + 2s, of determinant s (Levinger 1980, Math Mag
// 53:222-224).
func rootOfTwo(n, x []float64) {
	a, b, d := 1-n[0], -n[1], 1-n[3]
	s := math.Sqrt(a*d - b*b)
	t := s * math.Sqrt(a+d+2*s)
	x[0], x[1] = ((d+s)*x[0]-b*x[1])/t, ((a+s)*x[1]-b*x[0])/t
}

// series sums (I-N)^(-1/2) x = sum_k binom(2k,k)/4^k N^k x, or (I-N)^-1 x =
// sum_k N^k x, from x in out.
func (f *adjuster) series(n []float64, norm float64, out []float64) {
	d := len(out)
	term, next := f.term[:d], f.next[:d]
	copy(term, out)
	size := 1.0
	for k := 1.0; size > 1e-17; k++ {
		by := 1.0
		if f.kind == stats.CR2 {
			by = (2*k - 1) / (2 * k)
		}
		numeric.SymVec(n, term, next)
		for i, v := range next {
			next[i] = by * v
			out[i] += next[i]
		}
		term, next = next, term
		size *= norm
	}
}

func (f *adjuster) decompose(n, x, out []float64) {
	d := len(x)
	values, vectors := f.values[:d], f.vector[:d*d]
	numeric.Eigen(append(f.copied[:0], n...), d, values, vectors)
	clear(out)
	for k, v := range values {
		by := f.of(v)
		if by == 0 {
			continue
		}
		c := 0.0
		for i := range d {
			c += vectors[i*d+k] * x[i]
		}
		for i := range d {
			out[i] += by * c * vectors[i*d+k]
		}
	}
}
