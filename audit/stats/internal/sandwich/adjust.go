package sandwich

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// adjuster applies the small-sample correction of one kind, a function of
// I - N_g, to vectors.
type adjuster struct {
	kind       stats.Variance
	factor     float64 // of CR1
	term, next []float64
	eigen      mat.EigenSym
	sym        *mat.SymDense
	vectors    mat.Dense
	values     []float64
}

func newAdjuster(p int, kind stats.Variance, clusters int) *adjuster {
	m := float64(clusters)
	return &adjuster{
		kind: kind, factor: math.Sqrt(m / (m - 1)), term: make([]float64, p), next: make([]float64, p),
		sym: mat.NewSymDense(p, nil), values: make([]float64, p),
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
		if norm := math.Sqrt(numeric.Dot(n, n)); norm < seriesLimit {
			f.series(n, norm, x, out)
		} else {
			f.decompose(n, x, out)
		}
	}
}

// series sums (I-N)^(-1/2) x = sum_k binom(2k,k)/4^k N^k x, or (I-N)^-1 x =
// sum_k N^k x.
func (f *adjuster) series(n []float64, norm float64, x, out []float64) {
	copy(f.term, x)
	size := 1.0
	for k := 1.0; size > 1e-17; k++ {
		numeric.SymVec(n, f.term, f.next)
		if f.kind == stats.CR2 {
			numeric.Scale((2*k-1)/(2*k), f.next)
		}
		f.term, f.next = f.next, f.term
		numeric.Axpy(1, f.term, out)
		size *= norm
	}
}

func (f *adjuster) decompose(n, x, out []float64) {
	p := len(x)
	for i := range p {
		for j := i; j < p; j++ {
			f.sym.SetSym(i, j, n[i*p+j])
		}
	}
	copy(out, x)
	if !f.eigen.Factorize(f.sym, true) {
		numeric.Scale(math.NaN(), out) // not reached for finite numbers
		return
	}
	f.eigen.Values(f.values)
	f.eigen.VectorsTo(&f.vectors)
	clear(out)
	for k, v := range f.values {
		gap := 1 - v
		if gap <= singular {
			continue
		}
		by := 1 / gap
		if f.kind == stats.CR2 {
			by = math.Sqrt(by)
		}
		c := 0.0
		for i := range p {
			c += f.vectors.At(i, k) * x[i]
		}
		for i := range p {
			out[i] += by * c * f.vectors.At(i, k)
		}
	}
}
