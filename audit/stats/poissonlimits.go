package stats

import (
	"fmt"
	"math"
)

// Garwood is a count with its exact Poisson interval (Garwood 1936,
// Biometrika 28:437-442): half chi-square quantiles on 2x and 2x+2 degrees of
// freedom. Divide by the exposure for a rate.
func Garwood(x int, level float64) Estimate {
	e := Estimate{
		Value: float64(x), SE: math.NaN(), DF: math.Inf(1), P: math.NaN(), Level: level,
		N: x, Clusters: x, Method: "Garwood exact Poisson interval, independent events",
	}
	if x < 0 || checkLevel(level) != nil {
		e.notEstimable(Warning{
			"bad-count", fmt.Sprintf("count %d at level %v: expected 0 or more and 0 < level < 1", x, level),
			"correct the count",
		})
		return e
	}
	e.Low, e.High = garwoodLimits(float64(x), (1-level)/2)
	return e
}

// garwoodLimits leaves tail probability tail on each side.
func garwoodLimits(x, tail float64) (low, high float64) {
	if x > 0 {
		low = chiSquareQuantile(tail, 2*x) / 2
	}
	return low, chiSquareQuantile(1-tail, 2*x+2) / 2
}
