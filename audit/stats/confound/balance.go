package confound

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// StandardizedMeanDifference is (mean a - mean b)/sqrt((var a + var b)/2)
// (Austin 2009, Stat Med 28:3083-3107, section 3.1). Equal constants give 0;
// an arm of fewer than two values gives NaN, unequal constants an infinite
// difference.
func StandardizedMeanDifference(a, b []float64) float64 {
	ma, va := numeric.MeanVariance(a)
	mb, vb := numeric.MeanVariance(b)
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
