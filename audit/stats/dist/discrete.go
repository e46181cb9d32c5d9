package dist

import (
	"math"
)

// BinomialProbability is P(X = x) for X binomial, 0 < p < 1 (Loader 2000).
func BinomialProbability(x, n int, p float64) float64 {
	switch {
	case x < 0 || x > n:
		return 0
	case x == 0:
		return math.Exp(float64(n) * math.Log1p(-p))
	case x == n:
		return math.Exp(float64(n) * math.Log(p))
	}
	return binomialRaw(float64(x), float64(n-x), p, 1-p)
}

// BinomialCDF is P(X <= x) (Abramowitz & Stegun 26.5.24).
func BinomialCDF(x, n int, p float64) float64 {
	switch {
	case x < 0:
		return 0
	case x >= n:
		return 1
	}
	return RegularisedBeta(float64(n-x), float64(x+1), 1-p, p)
}

// BinomialQuantile is the least x with P(X <= x) >= q.
func BinomialQuantile(q float64, n int, p float64) int {
	low, high := -1, n
	for high-low > 1 {
		if mid := (low + high) / 2; BinomialCDF(mid, n, p) >= q {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
