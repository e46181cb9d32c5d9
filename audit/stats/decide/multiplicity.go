package decide

import (
	"cmp"
	"math"
	"slices"
)

// BenjaminiHochberg adjusts P values for the false discovery rate (Benjamini &
// Hochberg 1995, J R Stat Soc B 57:289-300): min over j >= i of n p(j)/j. A NaN
// stays NaN and does not count towards n.
func BenjaminiHochberg(p []float64) []float64 {
	return stepUp(p, func(rank, n int) float64 { return float64(n) / float64(rank) })
}

// Holm adjusts P values for the family-wise error, no assumption (Holm 1979,
// Scand J Stat 6:65-70): max over j <= i of (n-j+1) p(j).
func Holm(p []float64) []float64 {
	out, order := rankP(p)
	running := 0.0
	for k, i := range order {
		running = max(running, min(1, float64(len(order)-k)*p[i]))
		out[i] = running
	}
	return out
}

func stepUp(p []float64, factor func(rank, n int) float64) []float64 {
	out, order := rankP(p)
	running := 1.0
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		running = min(running, factor(k+1, len(order))*p[i])
		out[i] = running
	}
	return out
}

// rankP gives an all-NaN result and the rows of p that hold a probability, in
// rising order. A value outside 0 to 1 is no P value and is treated as NaN.
func rankP(p []float64) (out []float64, order []int) {
	out = make([]float64, len(p))
	for i, v := range p {
		out[i] = math.NaN()
		if v >= 0 && v <= 1 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	return out, order
}
