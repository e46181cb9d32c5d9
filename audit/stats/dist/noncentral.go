package dist

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// NoncentralTail is P(T > t) for the noncentral t: the mean over the chi
// distribution of the standard deviation of a normal tail (Johnson, Kotz &
// Balakrishnan 1995, equation 31.11), by Gauss-Legendre quadrature.
func NoncentralTail(t, df, ncp float64) float64 {
	if df > largeDF {
		return NormalTail(t - ncp)
	}
	lg, _ := math.Lgamma(df / 2)
	density := func(s float64) float64 { // of s = sqrt(chi-square/df)
		return math.Exp(math.Ln2 + df/2*math.Log(df/2) - lg + (df-1)*math.Log(s) - df*s*s/2)
	}
	low, high := math.Sqrt(ChiSquareQuantile(1e-14, df)/df), math.Sqrt(ChiSquareQuantile(1-1e-14, df)/df)
	return quad.Fixed(func(s float64) float64 { return density(s) * NormalTail(t*s-ncp) }, low, high, 200, quad.Legendre{}, 1)
}
