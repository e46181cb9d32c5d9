package stats

import "math"

// StandardizedMeanDifference is (mean a - mean b)/sqrt((var a + var b)/2)
// (Austin 2009, Stat Med 28:3083-3107, section 3.1). Equal constants give 0;
// an arm of fewer than two values gives NaN, unequal constants an infinite
// difference.
func StandardizedMeanDifference(a, b []float64) float64 {
	ma, va := meanVariance(a)
	mb, vb := meanVariance(b)
	return standardise(ma-mb, (va+vb)/2)
}

// StandardizedShareDifference is (p - q)/sqrt((p(1-p) + q(1-q))/2) for the
// shares p and q of two arms (Austin 2009, section 3.1).
func StandardizedShareDifference(p, q float64) float64 {
	if !(p >= 0 && p <= 1 && q >= 0 && q <= 1) {
		return math.NaN()
	}
	return standardise(p-q, (p*(1-p)+q*(1-q))/2)
}

func standardise(difference, variance float64) float64 {
	if difference == 0 && variance == 0 {
		return 0
	}
	return difference / math.Sqrt(variance)
}

// meanVariance gives the mean and the variance with divisor n-1 in two passes
// with the correction of Chan, Golub & LeVeque (1983, Am Stat 37:242-247,
// equation 1.7). The variance of one value is NaN.
func meanVariance(x []float64) (mean, variance float64) {
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
