package agree

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/prop"
)

// OneWayResult is an analysis of variance of values in groups, and the
// correlation within a group it implies.
type OneWayResult struct {
	SSBetween, SSWithin float64
	DFBetween, DFWithin float64
	F, P                float64
	N0                  float64 // average group size n0 for unequal groups
	ICC                 float64 // (MSB - MSW)/(MSB + (n0-1) MSW); may be negative
	// DesignEffect is 1 + (sum n^2/sum n - 1) max(0, ICC).
	DesignEffect float64
	Method       string
	Warnings     []stats.Warning
}

// OneWay analyses x by cluster (Donner & Koval 1980, Biometrics 36:19-25,
// equation 1). Sums of squares are taken about means in two passes, so that
// large constants do not cost digits.
func OneWay(x []float64, cluster []int) (OneWayResult, error) {
	if err := bycase.CheckClustered(len(x), cluster, x); err != nil {
		return OneWayResult{}, err
	}
	groups := bycase.Rows(len(x), cluster)
	n, m := float64(len(x)), float64(len(groups))
	// Values are shifted by the first, exactly in most data, before averaging.
	var grand, n2 float64
	for _, v := range x {
		grand += (v - x[0]) / n
	}
	r := OneWayResult{DFBetween: m - 1, DFWithin: n - m, Method: "one-way analysis of variance, independent groups of equal variance"}
	sizes := make([]int, 0, len(groups))
	for _, g := range groups {
		k := float64(len(g))
		var mean float64
		for _, i := range g {
			mean += (x[i] - x[0]) / k
		}
		for _, i := range g {
			r.SSWithin += numeric.Square(x[i] - x[0] - mean)
		}
		r.SSBetween += k * numeric.Square(mean-grand)
		n2 += k * k
		sizes = append(sizes, len(g))
	}
	msb, msw := r.SSBetween/r.DFBetween, r.SSWithin/r.DFWithin
	r.F = msb / msw
	r.P = dist.FTail(r.F, r.DFBetween, r.DFWithin)
	r.N0 = (n - n2/n) / (m - 1)
	r.ICC = (msb - msw) / (msb + (r.N0-1)*msw)
	r.DesignEffect = prop.DesignEffect(max(0, r.ICC), sizes...)
	if math.IsNaN(r.ICC) {
		r.DesignEffect = math.NaN()
		r.Warnings = append(r.Warnings, stats.Warning{
			ID: "no-variation", Text: "one group, one row in each group, or values all alike: no correlation within a group",
			Remedy: "record several teeth of several cases",
		})
	}
	return r, nil
}

// Autocorrelation of x at a lag: sum of lagged products of deviations over the
// sum of squares (Box & Jenkins 1976, equation 2.1.9; the certified values of
// NIST's univariate reference data sets use it at lag 1). Fewer than two
// values, a constant, or a lag outside 1 to n-1 gives NaN.
func Autocorrelation(x []float64, lag int) float64 {
	mean, _ := numeric.MeanVariance(x)
	if lag < 1 || lag >= len(x) {
		return math.NaN()
	}
	var num, den float64
	for i, v := range x {
		den += numeric.Square(v - mean)
		if i >= lag {
			num += (v - mean) * (x[i-lag] - mean)
		}
	}
	return num / den
}
