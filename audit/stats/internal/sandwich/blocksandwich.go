package sandwich

import (
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// BlockSandwich is the CR2 variance of PlainSandwich for blocks. Of a cluster's X_g only the
// columns that vary there are met: H_g = X_gMX_g' with M = LL', a contrast l is X_gLl there,
// and what it is seen with, b_g = L'X_g'q_g, is summed as X_g'q_g. Where columns come near
// to depending, or a cluster to determining a direction, the rows of T are made, so that
// no digits are lost.
type BlockSandwich struct {
	f    *BlockFit
	m    []float64 // M, where columns are apart
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
	out, score, n := make([]float64, q*q), make([]float64, q), b.Size()
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
	p, q, n := s.f.P, len(l), s.f.p.Size()
	out := seen{l: make([][]float64, q), rows: s.f.p.arena.Floats(q * n), sum: newMomentSum(p, q, s.f.p.Clusters(), nil, s.f.p.arena)}
	for c := range l {
		out.l[c] = slices.Clone(l[c])
	}
	f := newAdjuster(p, stats.CR2, s.f.p.Clusters())
	sums, w := newBlockSums(p, q), s.f.along(l)
	s.visit(func(v *view) {
		rows := func(c int) []float64 { return out.rows[c*n+v.from : c*n+v.from+v.k] }
		for c := range q {
			if !v.sparse {
				v.contrast(f, l[c], rows(c))
				continue
			}
			v.see(w[c])
			f.apply(v.n[:v.k*v.k], v.seen, rows(c))
		}
		if v.sparse {
			sums.add(v, rows, out.sum)
		} else {
			sums.addWhole(&v.block, rows, out.sum)
		}
	})
	sums.turn(&s.f.Solution, out.sum.y)
	*s.seen = out
	return s.seen
}

// along is Ll of contrasts, by which X_g sees them.
func (o *Solution) along(l [][]float64) [][]float64 {
	out := make([][]float64, len(l))
	for c := range l {
		out[c] = make([]float64, o.P)
		for a := range o.P {
			out[c][a] = numeric.Dot(o.L[a*o.P+a:(a+1)*o.P], l[c][a:])
		}
	}
	return out
}

// view is one cluster: its columns that the fit keeps, by their numbers, and H_g; where it
// is not sparse, its rows of T.
type view struct {
	block
	g, from int
	kept    []int
	x       [][]float64 // by column
	sparse  bool
	seen, z []float64
}

// visit calls f for each cluster that has columns.
func (s *BlockSandwich) visit(f func(v *view)) {
	if s.m == nil && s.f.apart {
		s.m = s.f.inverse()
	}
	v := &view{block: *newBlock(s.f.P)}
	for g := range s.f.p.Clusters() {
		if v.kept, v.x = s.f.load(g, v.kept, v.x); len(v.kept) == 0 {
			continue
		}
		v.g, v.from, v.k = g, s.f.p.Start[g], s.f.p.Start[g+1]-s.f.p.Start[g]
		if v.sparse = s.f.apart && v.few(); v.sparse {
			v.hats(s.m)
			v.sparse = v.gentle()
		}
		if !v.sparse {
			v.whole(s.f.L)
		}
		f(v)
	}
}

// inverse is M = LL' = (X'WX)^-1.
func (o *Solution) inverse() []float64 {
	p := o.P
	m := make([]float64, p*p)
	for a := range p {
		for b := range a + 1 {
			m[a*p+b] = numeric.Dot(o.L[a*p+a:(a+1)*p], o.L[b*p+a:(b+1)*p])
			m[b*p+a] = m[a*p+b]
		}
	}
	return m
}

// hat is H_g of one coordinate, from M.
func (v *view) hat(m []float64) (h float64) {
	for c, a := range v.kept {
		row, x, z := m[a*v.p:(a+1)*v.p], v.x[c][0], 0.0
		for d, b := range v.kept[:c] {
			z += row[b] * v.x[d][0]
		}
		h += x * (z + row[a]/2*x)
	}
	return 2 * h
}

// hats fills H_g from M.
func (v *view) hats(m []float64) {
	if v.k == 1 {
		v.n[0] = v.hat(m)
		return
	}
	v.z = resize(v.z, v.k)
	n := v.n[:v.k*v.k]
	clear(n)
	for c, a := range v.kept {
		row, x := m[a*v.p:(a+1)*v.p], v.x[c]
		clear(v.z)
		for d, b := range v.kept[:c] {
			numeric.Axpy(row[b], v.x[d], v.z)
		}
		numeric.Axpy(row[a]/2, x, v.z) // half, for the other half comes with its transpose
		for r, by := range x {
			numeric.Axpy(by, v.z, n[r*v.k:(r+1)*v.k])
		}
	}
	for r := range v.k {
		for s := range r + 1 {
			h := n[r*v.k+s] + n[s*v.k+r]
			n[r*v.k+s], n[s*v.k+r] = h, h
		}
	}
}

// whole makes the rows of T, X_gL, and of H_g or N_g.
func (v *view) whole(l []float64) {
	p := v.p
	v.rows = resize(v.rows, v.k*p)
	clear(v.rows)
	for c, a := range v.kept {
		for r, x := range v.x[c] {
			if x != 0 {
				numeric.Axpy(x, l[a*p+a:(a+1)*p], v.rows[r*p+a:(r+1)*p])
			}
		}
	}
	v.products()
}

// see fills what a contrast is in a sparse cluster.
func (v *view) see(w []float64) {
	v.seen = resize(v.seen, v.k)
	clear(v.seen)
	for c, a := range v.kept {
		numeric.Axpy(w[a], v.x[c], v.seen)
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
func (s *blockSums) add(v *view, rows func(c int) []float64, sum *momentSum) {
	m, q := len(v.kept), s.q
	s.z, s.hat = resize(s.z, m*q), resize(s.hat, v.k)
	own, pair := s.own[:q*q], s.own[q*q:]
	for c := range q {
		of := rows(c)
		for k, x := range v.x {
			s.z[c*m+k] = numeric.Dot(x, of)
		}
		numeric.SymVec(v.n[:v.k*v.k], of, s.hat)
		for d := range c + 1 {
			own[c*q+d], pair[c*q+d] = numeric.Dot(of, rows(d)), numeric.Dot(s.hat, rows(d))
			own[d*q+c], pair[d*q+c] = own[c*q+d], pair[c*q+d]
		}
	}
	sum.clusters = append(sum.clusters, s.own...)
	s.outer(v.kept)
}

// outer adds z z'.
func (s *blockSums) outer(kept []int) {
	m, n := len(kept), s.q*s.p
	if s.q == 1 && slices.IsSorted(kept) {
		for i, a := range kept {
			row, u := s.y[a*n:(a+1)*n], s.z[i]
			for k := i; k < m; k++ {
				row[kept[k]] += u * s.z[k]
			}
		}
		return
	}
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
