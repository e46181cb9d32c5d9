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
	return regBeta(float64(n-x), float64(x+1), 1-p, p)
}

// PoissonProbability is P(X = x) for mean m.
func PoissonProbability(x int, m float64) float64 {
	if x < 0 {
		return 0
	}
	lg, _ := math.Lgamma(float64(x) + 1)
	return math.Exp(float64(x)*math.Log(m) - m - lg)
}

// PoissonCDF is P(X <= x) (Abramowitz & Stegun 26.4.21).
func PoissonCDF(x int, m float64) float64 {
	if x < 0 {
		return 0
	}
	return ChiSquareTail(2*m, 2*float64(x+1))
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

// PoissonQuantile is the least x with P(X <= x) >= q.
func PoissonQuantile(q, mean float64) int {
	low, high := -1, int(mean)+1
	for PoissonCDF(high, mean) < q {
		high *= 2
	}
	for high-low > 1 {
		if mid := low + (high-low)/2; PoissonCDF(mid, mean) >= q {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
