package prop

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// Garwood is a count with its exact Poisson interval (Garwood 1936,
// Biometrika 28:437-442): half chi-square quantiles on 2x and 2x+2 degrees of
// freedom. Divide by the exposure for a rate.
func Garwood(x int, level float64) stats.Estimate {
	e := stats.Estimate{
		Value: float64(x), SE: math.NaN(), DF: math.Inf(1), P: math.NaN(), Level: level,
		N: x, Clusters: x, Method: "Garwood exact Poisson interval, independent events",
	}
	if x < 0 || stats.CheckLevel(level) != nil {
		e.NotEstimable(stats.Warning{
			ID: "bad-count", Text: fmt.Sprintf("count %d at level %v: expected 0 or more and 0 < level < 1", x, level),
			Remedy: "correct the count",
		})
		return e
	}
	e.Low, e.High = garwoodLimits(float64(x), (1-level)/2)
	return e
}

// garwoodLimits leaves tail probability tail on each side.
func garwoodLimits(x, tail float64) (low, high float64) {
	if x > 0 {
		low = dist.ChiSquareQuantile(tail, 2*x) / 2
	}
	return low, dist.ChiSquareQuantile(1-tail, 2*x+2) / 2
}
