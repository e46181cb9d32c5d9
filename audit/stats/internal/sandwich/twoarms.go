package sandwich

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// ArmsSandwich is PlainSandwich of a model with nothing but an intercept and
// one 0/1 column. In coordinates of the two arms, u = W^(1/2)[not in, in]
// divided by the lengths of the columns, T_g'T_g is diagonal: an arm of a
// cluster has the share of its weight in the arm, and every function of it is
// a function of two numbers. Cost: one pass over the rows.
type ArmsSandwich struct {
	turn  [4]float64 // coordinates of T to those of the arms, row-major
	cases []armsCase
	kind  stats.Variance
	a     []float64
	arena *stats.Arena
}

// armsCase is one cluster: shares of the arms' weights and scores in
// coordinates of the arms.
type armsCase struct{ share, score [2]float64 }

// TwoArms reports a design of an intercept and a 0/1 column, neither arm empty.
func TwoArms(x []float64, width int) bool {
	if width != 2 {
		return false
	}
	var seen [2]bool
	for i := 0; i < len(x); i += 2 {
		if x[i] != 1 || x[i+1] != 0 && x[i+1] != 1 {
			return false
		}
		seen[int(x[i+1])] = true
	}
	return seen[0] && seen[1]
}

// NewArmsDesign is NewOrthonormal of such a design: L from the weights W0 and
// W1 of the arms, coefficients from their means.
func NewArmsDesign(arena *stats.Arena, x, y, rootW []float64) *Orthonormal {
	o := &Orthonormal{Solution: Solution{P: 2, Width: 2, Cols: []int{0, 1}}, N: len(y), X: x, RootW: rootW, Arena: arena}
	var w, mean [2]float64
	for i := range y {
		r := o.WeightRoot(i)
		w[int(x[2*i+1])] += r * r
	}
	for range 2 { // the second round corrects the first
		var left [2]float64
		for i := range y {
			r, arm := o.WeightRoot(i), int(x[2*i+1])
			left[arm] += r * r * (y[i] - mean[arm])
		}
		mean[0], mean[1] = mean[0]+left[0]/w[0], mean[1]+left[1]/w[1]
	}
	all := w[0] + w[1]
	// R = [sqrt(W) W1/sqrt(W); 0 sqrt(W0 W1/W)], L its inverse.
	a, b := math.Sqrt(all), math.Sqrt(w[0]*w[1]/all)
	o.L = []float64{1 / a, -w[1] / (all * b), 0, 1 / b}
	o.Coef = []float64{mean[0], mean[1] - mean[0]}
	o.Resid = arena.Floats(o.N)
	for i := range y {
		o.Resid[i] = y[i] - mean[int(x[2*i+1])]
		e := o.Resid[i] * o.WeightRoot(i)
		o.RSS += e * e
	}
	return o
}

// NewArmsSandwich prepares the variance of two arms and nothing else.
func NewArmsSandwich(o *Orthonormal, clusters Clustering, kind stats.Variance) *ArmsSandwich {
	var w [2]float64
	for i := range o.N {
		r := o.WeightRoot(i)
		w[int(o.X[2*i+1])] += r * r
	}
	// l over the columns is L'c; over the arms it is the arms' means in c,
	// c0-c1 and c1, over the roots of their weights. So l_arms = turn l.
	r0, r1 := math.Sqrt(w[0]), math.Sqrt(w[1])
	all := math.Sqrt(w[0] + w[1])
	s := &ArmsSandwich{kind: kind, arena: o.Arena, turn: [4]float64{r0 / all, -r1 / all, r1 / all, r0 / all}, cases: make([]armsCase, clusters.Count())}
	for g := range s.cases {
		c := &s.cases[g]
		for k := clusters.Start[g]; k < clusters.Start[g+1]; k++ {
			i := clusters.Row(k)
			r, arm := o.WeightRoot(i), int(o.X[2*i+1])
			c.share[arm] += r * r
			c.score[arm] += r * r * o.Resid[i]
		}
		c.share[0], c.share[1] = c.share[0]/w[0], c.share[1]/w[1]
		c.score[0], c.score[1] = c.score[0]/r0, c.score[1]/r1
	}
	s.sum()
	return s
}

// sum fills the meat, turned back to coordinates of T.
func (s *ArmsSandwich) sum() {
	var m [3]float64
	for i := range s.cases {
		c := &s.cases[i]
		u, v := s.corrected(c, 0)*c.score[0], s.corrected(c, 1)*c.score[1]
		m[0], m[1], m[2] = m[0]+u*u, m[1]+u*v, m[2]+v*v
	}
	t := s.turn
	left := [4]float64{t[0]*m[0] + t[2]*m[1], t[0]*m[1] + t[2]*m[2], t[1]*m[0] + t[3]*m[1], t[1]*m[1] + t[3]*m[2]}
	s.a = []float64{
		left[0]*t[0] + left[1]*t[2], left[0]*t[1] + left[1]*t[3],
		left[2]*t[0] + left[3]*t[2], left[2]*t[1] + left[3]*t[3],
	}
}

// corrected is F of one arm of a cluster: see adjuster.
func (s *ArmsSandwich) corrected(c *armsCase, arm int) float64 {
	m := float64(len(s.cases))
	switch gap := 1 - c.share[arm]; {
	case s.kind == stats.CR0:
		return 1
	case s.kind == stats.CR1:
		return math.Sqrt(m / (m - 1))
	case gap <= singular:
		return 0
	case s.kind == stats.CR3:
		return 1 / gap
	default:
		return 1 / math.Sqrt(gap)
	}
}

// Meat is the covariance in coordinates of T.
func (s *ArmsSandwich) Meat() []float64 { return s.a }

func (s *ArmsSandwich) working(l []float64) float64 { return numeric.Dot(l, l) }

// Gather as PlainSandwich gives them, a_g and b_g two numbers each.
func (s *ArmsSandwich) Gather(l [][]float64) *momentSum {
	q := len(l)
	acc := newMomentSum(2, q, len(s.cases), nil, s.arena)
	a, b, own := make([]float64, 2*q), make([]float64, 2*q), make([]float64, q*q)
	for i := range s.cases {
		c := &s.cases[i]
		f := [2]float64{s.corrected(c, 0), s.corrected(c, 1)}
		for k, x := range l {
			a[2*k] = f[0] * (s.turn[0]*x[0] + s.turn[1]*x[1])
			a[2*k+1] = f[1] * (s.turn[2]*x[0] + s.turn[3]*x[1])
			b[2*k], b[2*k+1] = c.share[0]*a[2*k], c.share[1]*a[2*k+1]
		}
		for j := range q {
			for k := range q {
				own[j*q+k] = a[2*j]*b[2*k] + a[2*j+1]*b[2*k+1]
			}
		}
		acc.add(own, b)
	}
	return acc
}

// Between is the covariance of contrasts.
func (s *ArmsSandwich) Between(l [][]float64) []float64 { return Quadratics(s.a, l) }
