package prop

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// checkCount gives the estimate x/n, or one with NaN limits and the reason.
func checkCount(x, n int, level float64, method string) (stats.Estimate, bool) {
	e := stats.Estimate{
		Value: float64(x) / float64(n), SE: math.NaN(), DF: math.Inf(1), P: math.NaN(),
		Level: level, N: n, Clusters: n, Method: method,
	}
	switch {
	case n == 0:
		e.Value = math.NaN()
		e.NotEstimable(stats.NoData)
	case n < 0 || x < 0 || x > n || stats.CheckLevel(level) != nil:
		e.Value = math.NaN()
		e.NotEstimable(stats.Warning{
			ID: "bad-count", Text: fmt.Sprintf("%d of %d at level %v: expected 0 <= x <= n and 0 < level < 1", x, n, level),
			Remedy: "correct the counts",
		})
	default:
		return e, true
	}
	return e, false
}

// wilsonLimits solves |p - pi| = q sqrt(pi (1-pi)/n) for pi (Wilson 1927, J
// Am Stat Assoc 22:209-212; Newcombe 1998, Stat Med 17:857-872, method 3).
func wilsonLimits(p, n, q float64) (low, high float64) {
	q2 := q * q
	centre := p + q2/(2*n)
	half := q * math.Sqrt(p*(1-p)/n+q2/(4*n*n))
	low, high = (centre-half)/(1+q2/n), (centre+half)/(1+q2/n)
	if p == 0 {
		low = 0
	}
	if p == 1 {
		high = 1
	}
	return max(0, low), min(1, high)
}

// Wilson is the score interval of x successes among n independent trials
// (Wilson 1927). Bad counts give NaN limits and a warning.
func Wilson(x, n int, level float64) stats.Estimate {
	e, ok := checkCount(x, n, level, "Wilson score interval, independent observations")
	if ok {
		e.Low, e.High = wilsonLimits(e.Value, float64(n), dist.NormalQuantile(0.5+level/2))
	}
	return e
}
