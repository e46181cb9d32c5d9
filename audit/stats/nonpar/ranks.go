package nonpar

import (
	"cmp"
	"slices"
)

// doubleRanks gives twice the midrank of each value (so that all are whole
// numbers) and the sizes of the groups of ties, in rising order.
func doubleRanks(x []float64) (ranks, ties []int) {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	ranks = make([]int, len(x))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && x[order[j]] == x[order[i]] {
			j++
		}
		for _, k := range order[i:j] {
			ranks[k] = i + 1 + j // 2 * mean of i+1..j
		}
		ties = append(ties, j-i)
		i = j
	}
	return ranks, ties
}

// tieSum is sum t^3 - t over groups of ties.
func tieSum(ties []int) float64 {
	var s float64
	for _, t := range ties {
		f := float64(t)
		s += f*f*f - f
	}
	return s
}

// halve undoes the doubling of ranks and their sum where no tie needs it, so
// that the exact distribution is half as long.
func halve(ranks []int, sum int) ([]int, int) {
	half := make([]int, len(ranks))
	for i, r := range ranks {
		if r%2 != 0 {
			return ranks, sum
		}
		half[i] = r / 2
	}
	return half, sum / 2
}
