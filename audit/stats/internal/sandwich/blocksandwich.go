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
	out, score := make([]float64, q*q), make([]float64, q)
	for g := range b.Clusters() {
		from, to := b.Start[g], b.Start[g+1]
		rows := see.rows[q*from : q*to]
		for c := range score {
			score[c] = numeric.Dot(rows[c*(to-from):(c+1)*(to-from)], s.f.resid[from:to])
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
		rows := out.rows[q*v.from : q*(v.from+v.k)]
		if !v.sparse {
			for c := range q {
				v.contrast(f, l[c], rows[c*v.k:(c+1)*v.k])
			}
			sums.addWhole(&v.block, rows, out.sum)
			return
		}
		for c := range q {
			v.see(w[c])
			f.apply(v.n[:v.k*v.k], v.seen, rows[c*v.k:(c+1)*v.k])
		}
		if v.k == 1 {
			sums.addSingle(v, rows, out.sum)
			return
		}
		sums.add(v, rows, out.sum)
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
	g, from   int
	kept      []int32
	x         []float64 // one coordinate after the other
	sparse    bool
	seen      []float64
	own, half []float64 // scratch
}

// visit calls f for each cluster that has columns.
func (s *BlockSandwich) visit(f func(v *view)) {
	if s.m == nil && s.f.apart {
		s.m = s.f.inverse()
	}
	v := &view{block: *newBlock(s.f.P)}
	for g := range s.f.p.Clusters() {
		if v.load(s.f, g); len(v.kept) == 0 {
			continue
		}
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

// coordinate is number k of the columns.
func (v *view) coordinate(k int) []float64 { return v.x[k*len(v.kept) : (k+1)*len(v.kept)] }

// hats fills H_g from M, half of it from each half of M.
func (v *view) hats(inv []float64) {
	n, m := v.k, len(v.kept)
	v.half = resize(v.half, n*m)
	if n == 1 {
		v.n[0] = 2 * halfOne(v.kept, v.x, inv, v.p, v.half)
		return
	}
	k := 0
	for ; k+2 <= n; k += 2 {
		halfTwo(v.kept, v.x[k*m:], inv, v.p, v.half[k*m:])
	}
	if k < n {
		halfOne(v.kept, v.x[k*m:], inv, v.p, v.half[k*m:])
	}
	for r := range n {
		for s := range r + 1 {
			h := numeric.Dot(v.coordinate(r), v.half[s*m:(s+1)*m]) + numeric.Dot(v.coordinate(s), v.half[r*m:(r+1)*m])
			v.n[r*n+s], v.n[s*n+r] = h, h
		}
	}
}

// whole makes the rows of T, X_gL, and of H_g or N_g.
func (v *view) whole(l []float64) {
	p := v.p
	v.rows = resize(v.rows, v.k*p)
	clear(v.rows)
	for r := range v.k {
		for c, x := range v.coordinate(r) {
			if a := int(v.kept[c]); x != 0 {
				numeric.Axpy(x, l[a*p+a:(a+1)*p], v.rows[r*p+a:(r+1)*p])
			}
		}
	}
	v.products()
}

// see fills what a contrast is in a sparse cluster.
func (v *view) see(w []float64) {
	v.seen = resize(v.seen, v.k)
	for k := range v.seen {
		s := 0.0
		for c, x := range v.coordinate(k) {
			s += w[v.kept[c]] * x
		}
		v.seen[k] = s
	}
}

// blockSums sum z z', z holding X_g'q_g of q contrasts, in y: qp x qp numbers, each pair once.
type blockSums struct {
	p, q      int
	y, z, hat []float64
	which     []int32   // number of each of z
	own       []float64 // scratch
}

func newBlockSums(p, q int) *blockSums {
	return &blockSums{p: p, q: q, y: make([]float64, q*p*q*p), own: make([]float64, 2*q*q)}
}

// add takes a cluster that sees the contrasts as rows, one after the other.
func (s *blockSums) add(v *view, rows []float64, sum *momentSum) {
	m, n, q := len(v.kept), v.k, s.q
	s.number(v)
	s.hat = resize(s.hat, n)
	own, pair := s.own[:q*q], s.own[q*q:]
	clear(s.z)
	for c := range q {
		of := rows[c*n : (c+1)*n]
		for k, by := range of {
			numeric.Axpy(by, v.coordinate(k), s.z[c*m:(c+1)*m])
		}
		numeric.SymVec(v.n[:n*n], of, s.hat)
		for d := range c + 1 {
			other := rows[d*n : (d+1)*n]
			own[c*q+d], pair[c*q+d] = numeric.Dot(of, other), numeric.Dot(s.hat, other)
			own[d*q+c], pair[d*q+c] = own[c*q+d], pair[c*q+d]
		}
	}
	sum.clusters = append(sum.clusters, s.own...)
	addOne(s.which, s.z, s.q*s.p, s.y)
}

// addSingle is add of a cluster of one coordinate.
func (s *blockSums) addSingle(v *view, rows []float64, sum *momentSum) {
	m, q, hat := len(v.kept), s.q, v.n[0]
	s.number(v)
	for c, by := range rows {
		z := s.z[c*m : (c+1)*m]
		for k, x := range v.x[:m] {
			z[k] = by * x
		}
		for d, other := range rows {
			s.own[c*q+d], s.own[(q+c)*q+d] = by*other, by*hat*other
		}
	}
	sum.clusters = append(sum.clusters, s.own...)
	addOne(s.which, s.z, s.q*s.p, s.y)
}

// number makes room for the columns of a cluster as each contrast sees them, and numbers them.
func (s *blockSums) number(v *view) {
	s.z = resize(s.z, len(v.kept)*s.q)
	if s.q == 1 {
		s.which = v.kept
		return
	}
	s.which = s.which[:0]
	for c := range s.q {
		for _, a := range v.kept {
			s.which = append(s.which, int32(c*s.p)+a)
		}
	}
}

// addWhole takes a cluster in coordinates of T.
func (s *blockSums) addWhole(b *block, rows []float64, sum *momentSum) {
	q := s.q
	own := s.own[:q*q]
	s.z = resize(s.z, q*s.p)
	clear(s.z)
	for c := range q {
		of := rows[c*b.k : (c+1)*b.k]
		b.back(of, s.z[c*s.p:(c+1)*s.p])
		for d := range c + 1 {
			own[c*q+d] = numeric.Dot(of, rows[d*b.k:(d+1)*b.k])
			own[d*q+c] = own[c*q+d]
		}
	}
	sum.add(own, s.z[:q*s.p])
}

// turn adds L'YL of each of the p x p parts Y to those of another triangle.
func (s *blockSums) turn(o *Solution, to []float64) {
	p, n, y := s.p, s.q*s.p, s.y
	for i := range n { // each pair stands once, on one side
		for j := range i {
			y[i*n+j] += y[j*n+i]
			y[j*n+i] = y[i*n+j]
		}
	}
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
