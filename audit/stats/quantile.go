package stats

import (
	"math"
	"slices"
)

// Quantiles gives the quantiles p of x by linear interpolation of the order
// statistics at 1 + (n-1)p: type 7 of Hyndman & Fan (1996, Am Stat
// 50:361-365), the default of R. x may be in any order and is not changed. No
// data, a NaN among them, or p outside 0 to 1 gives NaN.
func Quantiles(x []float64, p ...float64) []float64 {
	sorted := slices.Clone(x)
	slices.Sort(sorted) // NaN come first
	return SortedQuantiles(sorted, p...)
}

// SortedQuantiles is Quantiles of data that come in rising order.
func SortedQuantiles(sorted []float64, p ...float64) []float64 {
	q := make([]float64, len(p))
	for i, v := range p {
		q[i] = SortedQuantile(sorted, v)
	}
	return q
}

// SortedQuantile is the type 7 quantile of sorted data.
func SortedQuantile(sorted []float64, p float64) float64 {
	if len(sorted) == 0 || math.IsNaN(sorted[0]) || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	pos := p * float64(len(sorted)-1)
	k := int(pos)
	if pos == float64(k) || sorted[k] == sorted[k+1] {
		return sorted[k]
	}
	return sorted[k] + (pos-float64(k))*(sorted[k+1]-sorted[k])
}
