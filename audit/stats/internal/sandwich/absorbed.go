package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// Absorbed is a design without the means of its groups, whose dummies it thereby
// has among its columns. Every group lies within one cluster.
type Absorbed struct {
	O      *Orthonormal // of X and y less their weighted group means
	Group  []int        // of each row, 0..m-1
	Weight []float64    // total weight of each group
}

// absorbedSandwich is CR2 of a weighted design with absorbed groups and the
// identity as working covariance. With T = XL less the group means, not weighted,
// D the dummies over the root of their group's weight, and U = [T, D], U'WU is
// the identity and
//
//	B_g = [(I-H)(I-H)']_gg = I - Z_g K_g Z_g',  Z_g = [U_g, W_g U_g],
//	K_g = [-S_g, I; I, 0],  S_g = [T'W^2T, T_g'W_g^2D_g; ., D_g'W_g^2D_g],
//
// where U_g has the columns of the cluster's own groups only. Pustejovsky &
// Tipton 2018, equation 4 with the identity as target; what clubSandwich does for
// a weighted lm with dummies spelt out.
type absorbedSandwich struct {
	d        Absorbed
	clusters Clustering
	q        []float64 // T'W^2T, p x p
	a        []float64
	block    weightedBlock
	local    []int     // group of each row of the block, 0..m-1 within it
	weight   []float64 // total weight of those groups
	cross    []float64 // T_g'W_g^2D_g, p x m
	k        []float64
	means    []float64
}

// NewAbsorbedSandwich prepares the CR2 variance of an absorbed design with the
// identity as working covariance.
func NewAbsorbedSandwich(d Absorbed, clusters Clustering) *absorbedSandwich {
	d.O.KeepRows()
	p := d.O.P
	s := &absorbedSandwich{d: d, clusters: clusters, a: make([]float64, p*p), q: make([]float64, p*p)}
	t := make([]float64, p)
	for i := range d.O.N { // rows of W^(1/2)T
		numeric.AddOuter(square(d.O.WeightRoot(i)), d.O.RowOf(i, t), s.q)
	}
	numeric.Mirror(p, s.q)
	score := make([]float64, p)
	for g := range clusters.Count() {
		s.load(g)
		b := &s.block
		b.adjust(b.e)
		clear(score)
		for k := range b.rows {
			numeric.Axpy(b.w[k]*b.e[k], s.row(k), score)
		}
		numeric.AddOuter(1, score, s.a)
	}
	numeric.Mirror(p, s.a)
	return s
}

func square(x float64) float64 { return x * x }

// row is T of row k of the block.
func (s *absorbedSandwich) row(k int) []float64 {
	width := s.d.O.P + len(s.weight)
	return s.block.t[k*width : k*width+s.d.O.P]
}

// load reads cluster g and decomposes B_g.
func (s *absorbedSandwich) load(g int) {
	b, p := &s.block, s.d.O.P
	from, to := s.clusters.Start[g], s.clusters.Start[g+1]
	b.rows = to - from
	s.number(from, to)
	m := len(s.weight)
	width := p + m
	b.t, b.w, b.e = resize(b.t, b.rows*width), resize(b.w, b.rows), resize(b.e, b.rows)
	clear(b.t)
	s.cross = resize(s.cross, p*m)
	clear(s.cross)
	s.k = resize(s.k, 4*width*width)
	clear(s.k)
	for k := range b.rows {
		i := s.clusters.Row(from + k)
		root := s.d.O.WeightRoot(i)
		t := s.row(k)
		copy(t, s.d.O.RowOf(i, t))
		numeric.Scale(1/root, t)
		w, a := root*root, s.local[k]
		dummy := 1 / math.Sqrt(s.weight[a])
		b.t[k*width+p+a] = dummy
		b.w[k], b.e[k] = w, s.d.O.Resid[i]
		for c, v := range t {
			s.cross[c*m+a] += w * w * v * dummy
		}
		s.k[(p+a)*2*width+p+a] -= square(w * dummy)
	}
	for i := range p {
		for j := range p {
			s.k[i*2*width+j] = -s.q[i*p+j]
		}
		for a := range m {
			s.k[i*2*width+p+a], s.k[(p+a)*2*width+i] = -s.cross[i*m+a], -s.cross[i*m+a]
		}
	}
	for i := range width {
		s.k[i*2*width+width+i], s.k[(width+i)*2*width+i] = 1, 1
	}
	b.decompose(width, s.k)
}

// number gives the groups of a cluster's rows numbers of their own.
func (s *absorbedSandwich) number(from, to int) {
	s.local, s.weight = s.local[:0], s.weight[:0]
	own := map[int]int{}
	for k := from; k < to; k++ {
		g := s.d.Group[s.clusters.Row(k)]
		a, ok := own[g]
		if !ok {
			a = len(own)
			own[g] = a
			s.weight = append(s.weight, s.d.Weight[g])
		}
		s.local = append(s.local, a)
	}
}

// Meat is the covariance in coordinates of T.
func (s *absorbedSandwich) Meat() []float64 { return s.a }

// working is l'T'W^2T l.
func (s *absorbedSandwich) working(l []float64) float64 { return Quadratic(s.q, l) }

// Gather with p_g = A_g'W_gT_g l, d_g = D_g'p_g, u_g = T_g'p_g and
// v_g = T_g'W_gp_g - T_g'W_g^2D_g d_g:
//
//	O_gh = delta_gh |p_g - W_gD_gd_g|^2 - u_g'v_h - v_g'u_h + u_g'T'W^2T u_h.
func (s *absorbedSandwich) Gather(l [][]float64) *momentSum {
	p, q := s.d.O.P, len(l)
	k := make([]float64, 4*p*p)
	for i := range p {
		for j := range p {
			k[i*2*p+j] = -s.q[i*p+j]
		}
		k[i*2*p+p+i], k[(p+i)*2*p+i] = 1, 1
	}
	acc := newMomentSum(2*p, q, s.clusters.Count(), k, s.d.O.Arena)
	own, z := make([]float64, q*q), make([]float64, q*2*p)
	pg := make([][]float64, q)
	for g := range s.clusters.Count() {
		s.load(g)
		clear(z)
		for c := range q {
			pg[c] = resize(pg[c], s.block.rows)
			s.moment(l[c], pg[c], z[c*2*p:(c+1)*2*p])
			for j := range c + 1 {
				own[c*q+j] = numeric.Dot(pg[c], pg[j])
				own[j*q+c] = own[c*q+j]
			}
		}
		acc.add(own, z)
	}
	return acc
}

// moment writes p_g - W_gD_gd_g of the loaded cluster into pg and adds [u_g; v_g]
// to z.
func (s *absorbedSandwich) moment(l, pg, z []float64) {
	b, p, m := &s.block, s.d.O.P, len(s.weight)
	for k := range b.rows {
		pg[k] = b.w[k] * numeric.Dot(s.row(k), l)
	}
	b.adjust(pg)
	s.means = resize(s.means, m)
	clear(s.means)
	for k, a := range s.local {
		numeric.Axpy(pg[k], s.row(k), z[:p])
		numeric.Axpy(pg[k]*b.w[k], s.row(k), z[p:])
		s.means[a] += pg[k] / math.Sqrt(s.weight[a])
	}
	for c := range p {
		z[p+c] -= numeric.Dot(s.cross[c*m:(c+1)*m], s.means)
	}
	for k, a := range s.local {
		pg[k] -= b.w[k] * s.means[a] / math.Sqrt(s.weight[a])
	}
}

// Between is the covariance of contrasts.
func (s *absorbedSandwich) Between(l [][]float64) []float64 { return Quadratics(s.a, l) }
