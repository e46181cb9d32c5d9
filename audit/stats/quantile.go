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
	k, part := QuantilePlace(len(sorted), p)
	return BetweenPlaces(sorted[k], sorted[min(k+1, len(sorted)-1)], part)
}

// QuantilePlace is where the type 7 quantile of n sorted values lies: at the place k, from
// 0, and that part of the way to the next. For who has the values in rising order and no
// list of them.
func QuantilePlace(n int, p float64) (k int, part float64) {
	pos := p * float64(n-1)
	k = int(pos)
	return k, pos - float64(k)
}

// BetweenPlaces is the quantile between two neighbouring values.
func BetweenPlaces(low, high, part float64) float64 {
	if part == 0 || low == high {
		return low
	}
	return low + part*(high-low)
}
