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
func (s *PlainSandwich) Deletions(l []float64) []Deletion {
	out := make([]Deletion, 0, s.clusters.Count())
	var e, u, x []float64
	solve := func(b *block, right []float64) bool {
		d := b.size()
		n := b.n[:d*d]
		numeric.Scale(-1, n)
		for i := range d {
			n[i*d+i]++
		}
		x = resize(x, d)
		return numeric.CholeskySolve(d, n, right, x)
	}
	s.visit(func(from int, b *block) {
		e, u = resize(e, b.k), resize(u, b.k)
		for k := range e {
			e[k] = s.residual(from + k)
		}
		b.along(l, u)
		d := Deletion{Leverage: numeric.Dot(u, u), Shift: math.NaN()}
		if b.few() {
			if solve(b, e) {
				d.Shift = numeric.Dot(u, x)
			}
		} else {
			score := b.u[:b.p]
			clear(score)
			b.back(e, score)
			if solve(b, score) {
				d.Shift = numeric.Dot(l, x)
			}
		}
		out = append(out, d)
	})
	return out
}
