package sandwich

import (
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// Sandwich is a cluster-robust variance in coordinates of T.
type Sandwich interface {
	// meat is the p x p covariance in coordinates of T: the variance of c'b
	// is l'Al with l = L'c.
	Meat() []float64
	// working is the variance of l'T'y under the working covariance.
	working(l []float64) float64
	// moments gives, for contrasts with coordinates l (q of them), the
	// expectation of the q x q variance under the working covariance and what
	// the spread of that variance is made of.
	Moments(l [][]float64) moments
	// Mean is that of Moments alone.
	Mean(l [][]float64) []float64
}

// PlainSandwich has the identity (on weighted rows, 1/weight) as working
// covariance. With N_g = T_g'T_g and t_g = T_g'e_g,
//
//	(I - H_gg)^(-1/2) T_g = T_g (I - N_g)^(-1/2),
//
// because H_gg = T_g T_g', so only p x p matrices are met, and for clusters
// with few rows not even those (see block).
type PlainSandwich struct {
	o        *Orthonormal
	clusters Clustering
	kind     stats.Variance
	n        []float64 // cached N_g of the large clusters, p x p each; nil where that is too much memory
	a        []float64
	last     *lastMoments
}

// lastMoments keep the moments of one contrast: they depend on the design alone, so
// that other outcomes on it share them.
type lastMoments struct {
	l []float64 // nil: none yet
	m moments
}

// cacheLimit bounds the numbers kept between calls (32 MB).
const cacheLimit = 1 << 22

// NewPlainSandwich prepares the variance of equal weights, or of inverse-variance ones.
func NewPlainSandwich(o *Orthonormal, clusters Clustering, kind stats.Variance) *PlainSandwich {
	s := &PlainSandwich{o: o, clusters: clusters, kind: kind, last: &lastMoments{}}
	p, large := o.P, 0
	for g := range clusters.Count() {
		if !s.small(clusters.Start[g+1] - clusters.Start[g]) {
			large++
		}
	}
	if large > 0 && large*p*p <= cacheLimit {
		s.n = make([]float64, large*p*p)
	}
	s.spread(all)
	return s
}

// With is the variance of another outcome on the same design.
func (s *PlainSandwich) With(o *Orthonormal) *PlainSandwich {
	other := *s
	other.o = o
	if o.factor == nil { // decomposed anew: nothing is shared
		return NewPlainSandwich(o, s.clusters, s.kind)
	}
	other.spread(scores)
	return &other
}

// spread sums the meat from the scores of the clusters.
func (s *PlainSandwich) spread(w wanted) {
	p := s.o.P
	s.a = make([]float64, p*p)
	h := make([]float64, p)
	f := newAdjuster(p, s.kind, s.clusters.Count())
	s.visit(w, func(b *block) {
		b.apply(f, b.t, h)
		numeric.AddOuter(1, h, s.a)
	})
	numeric.Mirror(p, s.a)
}

// Meat is the covariance in coordinates of T.
func (s *PlainSandwich) Meat() []float64 { return s.a }

func (s *PlainSandwich) working(l []float64) float64 { return numeric.Dot(l, l) }

// small clusters are kept as rows: work in their own dimension is cheaper.
func (s *PlainSandwich) small(rows int) bool { return rows <= s.o.P }

// wanted is what visit makes of each cluster: N_g alone, as it is kept or anew; its
// scores T_g'e_g too; or both anew, to be kept.
type wanted int

const (
	kept wanted = iota
	scores
	all
)

// visit calls f once a cluster.
func (s *PlainSandwich) visit(w wanted, f func(b *block)) {
	fill := w != kept
	p, large := s.o.P, 0
	rows, own := make([]float64, p*p), make([]float64, p*p)
	b := &block{p: p, t: make([]float64, p), c: make([]float64, p), d: make([]float64, p), h: make([]float64, p*p)}
	for g := range s.clusters.Count() {
		from, to := s.clusters.Start[g], s.clusters.Start[g+1]
		clear(b.t)
		b.k, b.n = to-from, nil
		if s.small(b.k) {
			b.rows = rows[:b.k*p]
			if s.o.t != nil && s.clusters.order == nil { // neighbours: no copy
				b.rows = s.o.t[from*p : to*p]
			}
			for k := range b.k {
				row := b.rows[k*p : (k+1)*p]
				copy(row, s.readRow(from+k, row, fill, b.t))
			}
			f(b)
			continue
		}
		b.n = own
		if s.n != nil {
			b.n = s.n[large*p*p : (large+1)*p*p]
			large++
		}
		switch anew := s.n == nil || w == all; {
		case anew:
			clear(b.n)
			for k := from; k < to; k++ {
				numeric.AddOuter(1, s.readRow(k, rows[:p], fill, b.t), b.n)
			}
			numeric.Mirror(p, b.n)
		case fill:
			for k := from; k < to; k++ {
				s.readRow(k, rows[:p], fill, b.t)
			}
		}
		f(b)
	}
}

// readRow gives row k of T, written into own where T is not kept, and, where
// fill is set, adds its share of T'e to t.
func (s *PlainSandwich) readRow(k int, own []float64, fill bool, t []float64) []float64 {
	i := s.clusters.Row(k)
	row := s.o.RowOf(i, own)
	if fill {
		numeric.Axpy(s.o.Resid[i]*s.o.WeightRoot(i), row, t)
	}
	return row
}

// Moments by Bell & McCaffrey (2002). With a_g = F_g l and b_g = N_g a_g,
// O_gh = delta_gh a_g'b_g - b_g'b_h.
func (s *PlainSandwich) Moments(l [][]float64) moments {
	q := len(l)
	if q == 1 && s.last.l != nil && slices.Equal(s.last.l, l[0]) {
		return s.last.m
	}
	acc := newMomentSum(s.o.P, q, nil)
	s.gather(l, acc)
	m := acc.sum()
	if q == 1 {
		*s.last = lastMoments{slices.Clone(l[0]), m}
	}
	return m
}

// Mean of Moments, without the sums over pairs of clusters.
func (s *PlainSandwich) Mean(l [][]float64) []float64 {
	acc := newMomentSum(s.o.P, len(l), nil)
	acc.y = nil
	s.gather(l, acc)
	return acc.m.mean
}

// gather adds cluster after cluster.
func (s *PlainSandwich) gather(l [][]float64, acc *momentSum) {
	p, q := s.o.P, len(l)
	f := newAdjuster(p, s.kind, s.clusters.Count())
	a, b, own := make([]float64, q*p), make([]float64, q*p), make([]float64, q*q)
	s.visit(kept, func(c *block) {
		for k := range q {
			c.apply(f, l[k], a[k*p:(k+1)*p])
			c.times(a[k*p:(k+1)*p], b[k*p:(k+1)*p])
		}
		for i := range q {
			for j := range q {
				own[i*q+j] = numeric.Dot(a[i*p:(i+1)*p], b[j*p:(j+1)*p])
			}
		}
		acc.add(own, b)
	})
}
