package numeric

import (
	"math"
)

// Square is x^2.
func Square(x float64) float64 { return x * x }

// MeanVariance gives the mean and the variance with divisor n-1 in two passes
// with the correction of Chan, Golub & LeVeque (1983, Am Stat 37:242-247,
// equation 1.7). The variance of one value is NaN.
func MeanVariance(x []float64) (mean, variance float64) {
	n := float64(len(x))
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	for _, v := range x {
		mean += v
	}
	mean /= n
	if n == 1 {
		return mean, math.NaN()
	}
	var s, s2 float64
	for _, v := range x {
		d := v - mean
		s += d
		s2 += d * d
	}
	return mean + s/n, (s2 - s*s/n) / (n - 1)
}
