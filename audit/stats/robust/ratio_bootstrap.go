package robust

import (
	"cmp"
	"math"
	"slices"

	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/resample"
)

// BootstrapRatioOfSums is sum(num)/sum(den) with a BCa interval over cases,
// whatever their names. See BootstrapClusters (Efron 1987).
func BootstrapRatioOfSums(num, den []float64, cluster []int, level float64, s resample.BootstrapSettings) (resample.BootstrapResult, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return resample.BootstrapResult{}, err
	}
	var sums [][2]float64 // a case's num and den side by side: one cache line a draw
	bycase.Visit(cluster, num, den, func(y, x float64, _ int) { sums = append(sums, [2]float64{y, x}) })
	// Cases in the order of their sums, whatever the sign of num: neither the
	// names of cases nor the direction move a draw.
	slices.SortFunc(sums, func(a, b [2]float64) int {
		return cmp.Or(cmp.Compare(a[1], b[1]), numeric.BySize(a[0], b[0]))
	})
	r, err := resample.BootstrapClusters(len(sums), func() func([]int) float64 {
		return func(picked []int) float64 {
			var y, x float64
			for _, c := range picked {
				y += sums[c][0]
				x += sums[c][1]
			}
			return y / x
		}
	}, level, s)
	r.N, r.Method = len(num), "ratio of sums, BCa bootstrap of whole cases"
	if s := sumRatio(num, den, cluster); err == nil && !math.IsNaN(r.Low) {
		s.warnDenominator(&r.Estimate)
	}
	return r, err
}
