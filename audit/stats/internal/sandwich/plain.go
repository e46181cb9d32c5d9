package sandwich

import (
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// Whole is the variance of every contrast at once.
type Whole interface {
	Sandwich
	// Meat is the p x p covariance in coordinates of T: the variance of c'b
	// is l'Al with l = L'c.
	Meat() []float64
}

// Sandwich is a cluster-robust variance in coordinates of T.
type Sandwich interface {
	// Between is the q x q covariance of contrasts with coordinates l (q of them).
	Between(l [][]float64) []float64
	// working is the variance of l'T'y under the working covariance.
	working(l []float64) float64
	// Gather sums what is expected of the q x q variance of contrasts with
	// coordinates l under the working covariance, and what its spread is made of.
	Gather(l [][]float64) *momentSum
}

// PlainSandwich has the identity (on weighted rows, 1/weight) as working
// covariance. With N_g = T_g'T_g, H_g = T_gT_g' and any function F of I - N_g with
// F(I) = I,
//
//	F(I - H_g) T_g = T_g F(I - N_g),
//
// so that no more than the smaller of the two is met, and a contrast l is seen from
// cluster g as q_g = F(I - H_g) T_g l: its variance is the sum of (q_g'e_g)^2.
type PlainSandwich struct {
	o        *Orthonormal
	clusters Clustering
	kind     stats.Variance
	a        []float64 // of Meat; nil until it is asked for
	seen     *seen
}

// seen are the last contrasts asked for. They depend on the design alone, so that other
// outcomes on it share them.
type seen struct {
	l    [][]float64 // nil: none yet
	rows []float64   // q_g of one contrast after the other, the rows in order of clusters
	sum  *momentSum
}

// cacheLimit bounds the numbers kept between calls (32 MB).
const cacheLimit = 1 << 22

// NewPlainSandwich prepares the variance of equal weights, or of inverse-variance ones.
func NewPlainSandwich(o *Orthonormal, clusters Clustering, kind stats.Variance) *PlainSandwich {
	o.KeepRows()
	return &PlainSandwich{o: o, clusters: clusters, kind: kind, seen: &seen{}}
}

// Meat is the covariance in coordinates of T.
func (s *PlainSandwich) Meat() []float64 {
	if s.a == nil {
		p := s.o.P
		s.a = make([]float64, p*p)
		h := make([]float64, p)
		f := newAdjuster(p, s.kind, s.clusters.Count())
		var e []float64
		s.visit(func(from int, b *block) {
			e = resize(e, b.k)
			for k := range e {
				e[k] = s.residual(from + k)
			}
			b.score(f, e, h)
			numeric.AddOuter(1, h, s.a)
		})
		numeric.Mirror(p, s.a)
	}
	return s.a
}

// residual of the k-th row in the order of clusters, weighted.
func (s *PlainSandwich) residual(k int) float64 {
	i := s.clusters.Row(k)
	return s.o.Resid[i] * s.o.WeightRoot(i)
}

// Between sums q_gs'e_g q_gt'e_g.
func (s *PlainSandwich) Between(l [][]float64) []float64 {
	see, q, n := s.see(l), len(l), s.o.N
	out, score := make([]float64, q*q), make([]float64, q)
	for g := range s.clusters.Count() {
		clear(score)
		for k := s.clusters.Start[g]; k < s.clusters.Start[g+1]; k++ {
			e := s.residual(k)
			for c := range score {
				score[c] += see.rows[c*n+k] * e
			}
		}
		numeric.AddOuter(1, score, out)
	}
	numeric.Mirror(q, out)
	return out
}

func (s *PlainSandwich) working(l []float64) float64 { return numeric.Dot(l, l) }

// Gather by Bell & McCaffrey (2002). With b_g = T_g'q_g,
// O_gh = delta_gh q_g'q_g - b_g'b_h.
func (s *PlainSandwich) Gather(l [][]float64) *momentSum { return s.see(l).sum }

// see looks at contrasts from every cluster.
func (s *PlainSandwich) see(l [][]float64) *seen {
	if s.seen.l != nil && slices.EqualFunc(s.seen.l, l, slices.Equal[[]float64]) {
		return s.seen
	}
	p, q, n := s.o.P, len(l), s.o.N
	out := seen{l: make([][]float64, q), rows: s.o.Arena.Room(q * n), sum: newMomentSum(p, q, s.clusters.Count(), nil, s.o.Arena)}
	for c := range l {
		out.l[c] = slices.Clone(l[c])
	}
	f := newAdjuster(p, s.kind, s.clusters.Count())
	own, z := make([]float64, q*q), make([]float64, q*p)
	s.visit(func(from int, b *block) {
		clear(z)
		for c := range q {
			of := out.rows[c*n+from : c*n+from+b.k]
			b.contrast(f, l[c], of)
			b.back(of, z[c*p:(c+1)*p])
			for d := range c + 1 {
				own[c*q+d] = numeric.Dot(of, out.rows[d*n+from:d*n+from+b.k])
				own[d*q+c] = own[c*q+d]
			}
		}
		out.sum.add(own, z)
	})
	*s.seen = out
	return s.seen
}

// visit calls f once a cluster with the place of its first row.
func (s *PlainSandwich) visit(f func(from int, b *block)) {
	p := s.o.P
	b := newBlock(p)
	var rows []float64
	for g := range s.clusters.Count() {
		from, to := s.clusters.Start[g], s.clusters.Start[g+1]
		if b.k = to - from; s.o.t != nil && s.clusters.order == nil { // neighbours: no copy
			b.rows = s.o.t[from*p : to*p]
		} else {
			rows = resize(rows, b.k*p)
			b.rows = rows
			for k := range b.k {
				row := rows[k*p : (k+1)*p]
				copy(row, s.o.RowOf(s.clusters.Row(from+k), row))
			}
		}
		if s.kind == stats.CR2 || s.kind == stats.CR3 {
			b.products()
		}
		f(from, b)
	}
}
