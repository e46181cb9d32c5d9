package sandwich

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// weightedSandwich is for weights that are not inverse variances: the working
// covariance is the identity, so with T = XL unweighted,
//
//	B_g = [(I-H)(I-H)']_gg = I - Z_g K Z_g',  Z_g = [T_g, W_g T_g],
//	K = [-T'W^2T, I; I, 0],
//
// and CR2 takes B_g^(-1/2) (Pustejovsky & Tipton 2018, equation 4 with the
// identity as target; clubSandwich does the same for a weighted lm). Z_g has
// at most 2p independent columns, so the cost stays linear in rows.
type weightedSandwich struct {
	o        *Orthonormal
	clusters Clustering
	kind     stats.Variance
	k        []float64 // 2p x 2p
	a        []float64
	block    weightedBlock
	kept     []weightedCase // what moments needs of each cluster; nil where columns are many
}

// weightedCase is what a cluster adds to the moments of any contrast l: with
// p_g = A_g'W_gT_g l, T_g'p_g = [u] l, T_g'W_gp_g = [v] l and p_g'p_g = l'[own]l,
// p x p each.
type weightedCase struct{ u, v, own []float64 }

// keptColumns is the number of columns up to which weightedCases are kept, so
// that clusters are decomposed once a fit and not once a contrast.
const keptColumns = 4

// weightedBlock holds one cluster.
type weightedBlock struct {
	rows  int
	t     []float64 // rows x p
	w, e  []float64
	basis []float64 // orthonormal basis of Z, d rows of length rows
	d     int
	val   []float64 // eigenvalues and vectors (columns of a d x d matrix)
	vec   []float64
	z     []float64 // 2p columns of length rows
	r, kr []float64 // scratch
	sym   []float64
	v, in []float64
}

// NewWeightedSandwich prepares the variance of weights that are no inverse variances.
func NewWeightedSandwich(o *Orthonormal, clusters Clustering, kind stats.Variance) *weightedSandwich {
	o.KeepRows()
	p := o.P
	s := &weightedSandwich{o: o, clusters: clusters, kind: kind, a: make([]float64, p*p)}
	s.fillK()
	f := newAdjuster(p, kind, clusters.Count())
	h, score := make([]float64, p), make([]float64, p)
	if kind == stats.CR2 && p <= keptColumns {
		s.kept = make([]weightedCase, clusters.Count())
	}
	for g := range clusters.Count() {
		s.load(g)
		b := &s.block
		if kind == stats.CR2 {
			b.adjust(b.e)
		}
		if s.kept != nil {
			s.kept[g] = b.keep(p)
		}
		clear(score)
		for k := range b.rows {
			numeric.Axpy(b.w[k]*b.e[k], b.t[k*p:(k+1)*p], score)
		}
		h = append(h[:0], score...)
		if kind != stats.CR2 {
			f.apply(b.gram(p), score, h)
		}
		numeric.AddOuter(1, h, s.a)
	}
	numeric.Mirror(p, s.a)
	return s
}

// Meat is the covariance in coordinates of T.
func (s *weightedSandwich) Meat() []float64 { return s.a }

// working is l'T'W^2T l.
func (s *weightedSandwich) working(l []float64) (v float64) {
	p := s.o.P
	for i, a := range l {
		for j, b := range l {
			v -= a * b * s.k[i*2*p+j]
		}
	}
	return v
}

// fillK sets K; T'W^2T is a sum over all rows.
func (s *weightedSandwich) fillK() {
	p := s.o.P
	q, t := make([]float64, p*p), make([]float64, p)
	for i := range s.o.N {
		// W^(1/2) T
		numeric.AddOuter(s.o.RootW[i]*s.o.RootW[i], s.o.RowOf(i, t), q)
	}
	numeric.Mirror(p, q)
	d := 2 * p
	s.k = make([]float64, d*d)
	for i := range p {
		for j := range p {
			s.k[i*d+j] = -q[i*p+j]
		}
		s.k[i*d+p+i], s.k[(p+i)*d+i] = 1, 1
	}
}

// load reads cluster g and, for CR2, decomposes B_g.
func (s *weightedSandwich) load(g int) {
	b, p := &s.block, s.o.P
	from, to := s.clusters.Start[g], s.clusters.Start[g+1]
	b.rows = to - from
	b.t = resize(b.t, b.rows*p)
	b.w, b.e = resize(b.w, b.rows), resize(b.e, b.rows)
	for k := range b.rows {
		i := s.clusters.Row(from + k)
		root := s.o.RootW[i]
		t := b.t[k*p : (k+1)*p]
		copy(t, s.o.RowOf(i, t))
		numeric.Scale(1/root, t)
		b.w[k], b.e[k] = root*root, s.o.Resid[i]
	}
	if s.kind == stats.CR2 {
		b.decompose(p, s.k)
	}
}

func resize(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	return s[:n]
}

// gram is T'WT of the cluster.
func (b *weightedBlock) gram(p int) []float64 {
	n := make([]float64, p*p)
	for k := range b.rows {
		numeric.AddOuter(b.w[k], b.t[k*p:(k+1)*p], n)
	}
	numeric.Mirror(p, n)
	return n
}

// decompose finds a basis of the columns of Z and the eigenvectors of
// Q'ZKZ'Q in it.
func (b *weightedBlock) decompose(p int, k []float64) {
	n := b.rows
	b.z = resize(b.z, 2*p*n)
	for c := range 2 * p {
		for i, col := 0, b.z[c*n:(c+1)*n]; i < n; i++ {
			if col[i] = b.t[i*p+c%p]; c >= p {
				col[i] *= b.w[i]
			}
		}
	}
	b.orthogonalise(2 * p)
	d := b.d
	if d == 0 { // every row is nought: nothing to correct
		return
	}
	b.r = resize(b.r, d*2*p) // Q'Z
	for i := range d {
		for c := range 2 * p {
			b.r[i*2*p+c] = numeric.Dot(b.basis[i*n:(i+1)*n], b.z[c*n:(c+1)*n])
		}
	}
	b.sym, b.kr, b.val, b.vec = resize(b.sym, d*d), resize(b.kr, 2*p), resize(b.val, d), resize(b.vec, d*d)
	for i := range d {
		numeric.SymVec(k, b.r[i*2*p:(i+1)*2*p], b.kr)
		for j := i; j < d; j++ {
			v := numeric.Dot(b.r[j*2*p:(j+1)*2*p], b.kr)
			b.sym[i*d+j], b.sym[j*d+i] = v, v
		}
	}
	numeric.Eigen(b.sym, d, b.val, b.vec)
}

// keep makes the part of the moments of a decomposed cluster.
func (b *weightedBlock) keep(p int) weightedCase {
	all := make([]float64, 3*p*p)
	c := weightedCase{all[:p*p], all[p*p : 2*p*p], all[2*p*p:]}
	n := b.rows
	pg := make([]float64, p*n)
	for k := range p {
		col := pg[k*n : (k+1)*n]
		for i := range col {
			col[i] = b.w[i] * b.t[i*p+k]
		}
		b.adjust(col)
		for i, v := range col {
			for j, t := range b.t[i*p : (i+1)*p] {
				c.u[j*p+k] += v * t
				c.v[j*p+k] += v * b.w[i] * t
			}
		}
		for j := range k + 1 {
			c.own[k*p+j] = numeric.Dot(col, pg[j*n:(j+1)*n])
			c.own[j*p+k] = c.own[k*p+j]
		}
	}
	return c
}

// orthogonalise fills the basis by Gram-Schmidt, twice for each column, and
// leaves out columns that add nothing.
func (b *weightedBlock) orthogonalise(columns int) {
	n := b.rows
	b.basis, b.d = b.basis[:0], 0
	b.v = resize(b.v, n)
	v := b.v
	for c := range columns {
		if b.d == n {
			break
		}
		copy(v, b.z[c*n:(c+1)*n])
		size := math.Sqrt(numeric.Dot(v, v))
		for range 2 {
			for i := range b.d {
				q := b.basis[i*n : (i+1)*n]
				numeric.Axpy(-numeric.Dot(q, v), q, v)
			}
		}
		left := math.Sqrt(numeric.Dot(v, v))
		if left <= 1e-12*size || left == 0 {
			continue
		}
		numeric.Scale(1/left, v)
		b.basis = append(b.basis, v...)
		b.d++
	}
}

// adjust replaces v by B^(-1/2) v: only the part inside the basis changes.
func (b *weightedBlock) adjust(v []float64) {
	n, d := b.rows, b.d
	b.in = resize(b.in, d)
	for i := range d {
		b.in[i] = numeric.Dot(b.basis[i*n:(i+1)*n], v)
	}
	for k := range d {
		by := 0.0
		if gap := 1 - b.val[k]; gap > singular {
			by = 1 / math.Sqrt(gap)
		}
		c := 0.0
		for i := range d {
			c += b.vec[i*d+k] * b.in[i]
		}
		for i := range d {
			numeric.Axpy((by-1)*c*b.vec[i*d+k], b.basis[i*n:(i+1)*n], v)
		}
	}
}

// Gather with p_g = A_g'W_gT_g l, u_g = T_g'p_g and v_g = T_g'W_gp_g:
// O_gh = delta_gh p_g'p_g - [u_g; v_g]'K[u_h; v_h].
func (s *weightedSandwich) Gather(l [][]float64) *momentSum {
	p, q := s.o.P, len(l)
	acc := newMomentSum(2*p, q, s.clusters.Count(), s.k, s.o.Arena)
	f := newAdjuster(p, s.kind, s.clusters.Count())
	own, z, a := make([]float64, q*q), make([]float64, q*2*p), make([]float64, p)
	for g := range s.kept {
		c := &s.kept[g]
		for k := range q {
			numeric.SymVec(c.u, l[k], z[k*2*p:k*2*p+p])
			numeric.SymVec(c.v, l[k], z[k*2*p+p:(k+1)*2*p])
			numeric.SymVec(c.own, l[k], a)
			for j := range q {
				own[k*q+j] = numeric.Dot(a, l[j])
			}
		}
		acc.add(own, z)
	}
	if s.kept != nil {
		return acc
	}
	pg := make([][]float64, q)
	for g := range s.clusters.Count() {
		s.load(g)
		b := &s.block
		clear(z)
		for k := range q {
			copy(a, l[k])
			if s.kind != stats.CR2 {
				f.apply(b.gram(p), l[k], a)
			}
			pg[k] = resize(pg[k], b.rows)
			for i := range b.rows {
				pg[k][i] = b.w[i] * numeric.Dot(b.t[i*p:(i+1)*p], a)
			}
			if s.kind == stats.CR2 {
				b.adjust(pg[k])
			}
			for i := range b.rows {
				numeric.Axpy(pg[k][i], b.t[i*p:(i+1)*p], z[k*2*p:k*2*p+p])
				numeric.Axpy(pg[k][i]*b.w[i], b.t[i*p:(i+1)*p], z[k*2*p+p:(k+1)*2*p])
			}
			for j := range k + 1 {
				own[k*q+j] = numeric.Dot(pg[k], pg[j])
				own[j*q+k] = own[k*q+j]
			}
		}
		acc.add(own, z)
	}
	return acc
}

// Between is the covariance of contrasts.
func (s *weightedSandwich) Between(l [][]float64) []float64 { return Quadratics(s.a, l) }
