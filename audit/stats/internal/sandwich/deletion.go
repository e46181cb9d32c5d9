package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// Deletion is what leaving one cluster out does to a contrast with coordinates l.
type Deletion struct {
	Leverage float64 // |T_g l|^2
	Shift    float64 // by how much the contrast falls; NaN where nothing is left of it
}

// Deletions gives for each cluster
//
//	l'(I - N_g)^-1 T_g'e_g = (T_g l)'(I - H_g)^-1 e_g,  N_g = T_g'T_g, H_g = T_gT_g'
//
// (the deletion formula of Cook & Weisberg 1982, Residuals and Influence in
// Regression, section 3.6, for a set of rows), through the smaller of the two.
func (s *BlockSandwich) Deletions(l []float64) []Deletion {
	out := make([]Deletion, s.f.p.Clusters())
	w := s.f.along([][]float64{l})[0]
	var x []float64
	s.visit(func(v *view) {
		if v.sparse {
			v.see(w)
		} else {
			v.seen = resize(v.seen, v.k)
			v.along(l, v.seen)
		}
		x = resize(x, v.size())
		out[v.g] = Deletion{Leverage: numeric.Dot(v.seen, v.seen), Shift: v.deleted(l, v.seen, s.f.resid[v.from:v.from+v.k], x)}
	})
	return out
}

// deleted is the shift of a contrast that the block sees as u; x is scratch.
func (b *block) deleted(l, u, e, x []float64) float64 {
	d := b.size()
	n := b.n[:d*d]
	numeric.Scale(-1, n)
	for i := range d {
		n[i*d+i]++
	}
	right, see := e, u
	if !b.few() {
		right, see = b.u[:d], l
		clear(right)
		b.back(e, right)
	}
	if !numeric.CholeskySolve(d, n, right, x) {
		return math.NaN()
	}
	return numeric.Dot(see, x)
}
