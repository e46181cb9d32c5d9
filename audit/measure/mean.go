package measure

import (
	"math"

	"shortfall/audit/results"
)

func MeanOf(x []float64) results.Number {
	m, _ := MeanSD(x)
	return OrMissing(m)
}

// MeanSD gives the mean and the standard deviation (divisor n-1); NaN where
// there are too few values.
func MeanSD(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	var s2 float64
	for _, v := range x {
		s2 += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(s2 / (n - 1))
}

func OneIf(b bool) int {
	if b {
		return 1
	}
	return 0
}
