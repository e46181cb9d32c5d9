package sandwich

import (
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
}

// plainSandwich has the identity (on weighted rows, 1/weight) as working
// covariance. With N_g = T_g'T_g and t_g = T_g'e_g,
//
//	(I - H_gg)^(-1/2) T_g = T_g (I - N_g)^(-1/2),
//
// because H_gg = T_g T_g', so only p x p matrices are met, and for clusters
// with few rows not even those (see block).
type plainSandwich struct {
	o        *Orthonormal
	clusters Clustering
	kind     stats.Variance
	n        []float64 // cached N_g of the large clusters, p x p each; nil where that is too much memory
	a        []float64
}

// cacheLimit bounds the numbers kept between calls (32 MB).
const cacheLimit = 1 << 22

// NewPlainSandwich prepares the variance of equal weights, or of inverse-variance ones.
func NewPlainSandwich(o *Orthonormal, clusters Clustering, kind stats.Variance) *plainSandwich {
	s := &plainSandwich{o: o, clusters: clusters, kind: kind, a: make([]float64, o.P*o.P)}
	p, large := o.P, 0
	for g := range clusters.Count() {
		if !s.small(clusters.Start[g+1] - clusters.Start[g]) {
			large++
		}
	}
	if large > 0 && large*p*p <= cacheLimit {
		s.n = make([]float64, large*p*p)
	}
	h := make([]float64, p)
	f := newAdjuster(p, kind, clusters.Count())
	s.visit(true, func(b *block) {
		b.apply(f, b.t, h)
		numeric.AddOuter(1, h, s.a)
	})
	numeric.Mirror(p, s.a)
	return s
}

// Meat is the covariance in coordinates of T.
func (s *plainSandwich) Meat() []float64 { return s.a }

func (s *plainSandwich) working(l []float64) float64 { return numeric.Dot(l, l) }

// small clusters are kept as rows: work in their own dimension is cheaper.
func (s *plainSandwich) small(rows int) bool { return rows <= s.o.P }

// visit calls f once a cluster, with T_g'e_g where fill is set.
func (s *plainSandwich) visit(fill bool, f func(b *block)) {
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
		if s.n == nil || fill {
			clear(b.n)
			for k := from; k < to; k++ {
				numeric.AddOuter(1, s.readRow(k, rows[:p], fill, b.t), b.n)
			}
			numeric.Mirror(p, b.n)
		}
		f(b)
	}
}

// readRow gives row k of T, written into own where T is not kept, and, where
// fill is set, adds its share of T'e to t.
func (s *plainSandwich) readRow(k int, own []float64, fill bool, t []float64) []float64 {
	i := s.clusters.Row(k)
	row := s.o.RowOf(i, own)
	if fill {
		numeric.Axpy(s.o.Resid[i]*s.o.WeightRoot(i), row, t)
	}
	return row
}

// Moments by Bell & McCaffrey (2002). With a_g = F_g l and b_g = N_g a_g,
// O_gh = delta_gh a_g'b_g - b_g'b_h.
func (s *plainSandwich) Moments(l [][]float64) moments {
	p, q := s.o.P, len(l)
	acc := newMomentSum(p, q, nil)
	f := newAdjuster(p, s.kind, s.clusters.Count())
	a, b, own := make([]float64, q*p), make([]float64, q*p), make([]float64, q*q)
	s.visit(false, func(c *block) {
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
	return acc.sum()
}
