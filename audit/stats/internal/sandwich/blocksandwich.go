package sandwich

import (
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// BlockSandwich is the CR2 variance of PlainSandwich for blocks. The rows of T are made
// cluster by cluster from the columns that vary there, and what a contrast is seen with,
// b_g = L'X_g'q_g, is summed as X_g'q_g, which has numbers for these columns alone; where
// columns come near to depending, or a cluster to determining a direction, as b_g itself, so
// that no digits are lost.
type BlockSandwich struct {
	f    *BlockFit
	seen *seen
}

// NewBlockSandwich prepares the variance.
func NewBlockSandwich(f *BlockFit) *BlockSandwich { return &BlockSandwich{f: f, seen: &seen{}} }

// With is the variance of another outcome on the same design.
func (s *BlockSandwich) With(f *BlockFit) *BlockSandwich {
	if !slices.Equal(f.L, s.f.L) || !slices.Equal(f.Cols, s.f.Cols) {
		return NewBlockSandwich(f)
	}
	return &BlockSandwich{f: f, seen: s.seen}
}

// Between sums q_gs'e_g q_gt'e_g.
func (s *BlockSandwich) Between(l [][]float64) []float64 {
	see, q, b := s.see(l), len(l), s.f.p.Blocks
	out, score, n := make([]float64, q*q), make([]float64, q), b.Rows()
	for g := range b.Clusters() {
		from, to := b.Start[g], b.Start[g+1]
		for c := range score {
			score[c] = numeric.Dot(see.rows[c*n+from:c*n+to], s.f.resid[from:to])
		}
		numeric.AddOuter(1, score, out)
	}
	numeric.Mirror(q, out)
	return out
}

func (s *BlockSandwich) working(l []float64) float64 { return numeric.Dot(l, l) }

// Gather as that of PlainSandwich.
func (s *BlockSandwich) Gather(l [][]float64) *momentSum { return s.see(l).sum }

// see looks at contrasts from every cluster.
func (s *BlockSandwich) see(l [][]float64) *seen {
	if s.seen.l != nil && slices.EqualFunc(s.seen.l, l, slices.Equal[[]float64]) {
		return s.seen
	}
	p, q, n := s.f.P, len(l), s.f.p.Rows()
	out := seen{l: make([][]float64, q), rows: s.f.p.arena.Floats(q * n), sum: newMomentSum(p, q, s.f.p.Clusters(), nil)}
	for c := range l {
		out.l[c] = slices.Clone(l[c])
	}
	f := newAdjuster(p, stats.CR2, s.f.p.Clusters())
	sums := newBlockSums(p, q)
	s.visit(func(g int, b *block, kept []int, x [][]float64) {
		from := s.f.p.Start[g]
		rows := func(c int) []float64 { return out.rows[c*n+from : c*n+from+b.k] }
		for c := range q {
			b.contrast(f, l[c], rows(c))
		}
		if s.f.apart && b.gentle() {
			sums.add(b, kept, x, rows, out.sum)
		} else {
			sums.addWhole(b, rows, out.sum)
		}
	})
	sums.turn(&s.f.Solution, out.sum.y)
	*s.seen = out
	return s.seen
}

// visit calls f for each cluster that has columns, with its number.
func (s *BlockSandwich) visit(f func(g int, b *block, kept []int, x [][]float64)) {
	p := s.f.P
	b := newBlock(p)
	var kept []int
	var x [][]float64
	var rows []float64
	for g := range s.f.p.Clusters() {
		if kept, x = s.f.load(g, kept, x); len(kept) == 0 {
			continue
		}
		b.k = s.f.p.Start[g+1] - s.f.p.Start[g]
		rows = resize(rows, b.k*p)
		clear(rows)
		b.rows = rows
		for k, a := range kept { // T_g = X_g L
			l := s.f.L[a*p+a : (a+1)*p]
			for r, v := range x[k] {
				if v != 0 {
					numeric.Axpy(v, l, rows[r*p+a:(r+1)*p])
				}
			}
		}
		b.products()
		f(g, b, kept, x)
	}
}

// blockSums sum z z', z holding X_g'q_g of q contrasts, in y: the upper triangle of
// qp x qp numbers.
type blockSums struct {
	p, q      int
	y, z, hat []float64
	own       []float64 // scratch
}

func newBlockSums(p, q int) *blockSums {
	return &blockSums{p: p, q: q, y: make([]float64, q*p*q*p), own: make([]float64, 2*q*q)}
}

// add takes a cluster that rows(c) sees contrast c from.
func (s *blockSums) add(b *block, kept []int, x [][]float64, rows func(c int) []float64, sum *momentSum) {
	m, q := len(kept), s.q
	s.z, s.hat = resize(s.z, m*q), resize(s.hat, b.k)
	own, pair := s.own[:q*q], s.own[q*q:]
	for c := range q {
		of := rows(c)
		for k, v := range x {
			s.z[c*m+k] = numeric.Dot(v, of)
		}
		b.hat(of, s.hat)
		for d := range c + 1 {
			own[c*q+d], pair[c*q+d] = numeric.Dot(of, rows(d)), numeric.Dot(s.hat, rows(d))
			own[d*q+c], pair[d*q+c] = own[c*q+d], pair[c*q+d]
		}
	}
	sum.clusters = append(sum.clusters, s.own...)
	s.outer(kept)
}

// outer adds z z'.
func (s *blockSums) outer(kept []int) {
	m, n := len(kept), s.q*s.p
	for c := range s.q {
		for d := c; d < s.q; d++ {
			for i, a := range kept {
				row := s.y[(c*s.p+a)*n+d*s.p : (c*s.p+a)*n+(d+1)*s.p]
				u, v := s.z[c*m+i], s.z[d*m:(d+1)*m]
				for k, b := range kept {
					if c < d || a <= b {
						row[b] += u * v[k]
					}
				}
			}
		}
	}
}

// addWhole takes a cluster in coordinates of T.
func (s *blockSums) addWhole(b *block, rows func(c int) []float64, sum *momentSum) {
	q := s.q
	own := s.own[:q*q]
	s.z = resize(s.z, q*s.p)
	clear(s.z)
	for c := range q {
		b.back(rows(c), s.z[c*s.p:(c+1)*s.p])
		for d := range c + 1 {
			own[c*q+d] = numeric.Dot(rows(c), rows(d))
			own[d*q+c] = own[c*q+d]
		}
	}
	sum.add(own, s.z[:q*s.p])
}

// turn adds L'YL of each of the p x p parts Y to those of another triangle.
func (s *blockSums) turn(o *Solution, to []float64) {
	p, n, y := s.p, s.q*s.p, s.y
	numeric.Mirror(n, y)
	part, half := make([]float64, p*p), make([]float64, p*p)
	for c := range s.q {
		for d := c; d < s.q; d++ {
			clear(half)
			clear(part)
			for i := range p { // half = Y L
				for k := range p {
					numeric.Axpy(y[(c*p+i)*n+d*p+k], o.L[k*p+k:(k+1)*p], half[i*p+k:(i+1)*p])
				}
			}
			for k := range p { // part = L'half
				for i := k; i < p; i++ {
					numeric.Axpy(o.L[k*p+i], half[k*p:(k+1)*p], part[i*p:(i+1)*p])
				}
			}
			for i := range p {
				numeric.Axpy(1, part[i*p:(i+1)*p], to[(c*p+i)*n+d*p:(c*p+i)*n+(d+1)*p])
			}
		}
	}
}
