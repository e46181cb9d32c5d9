package nonpar

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/resample"
)

// QuantileInterval is the type 7 quantile p of x with the distribution-free
// interval between two order statistics (David & Nagaraja 2003, Order
// Statistics, section 7.1): the pair of ranks with the least width whose
// binomial coverage is at least the level. The Method names the coverage
// reached. Observations must be independent; ClusteredQuantile is for teeth.
func QuantileInterval(x []float64, p, level float64) (stats.Estimate, error) {
	if err := checkQuantile(x, nil, p, level); err != nil {
		return stats.Estimate{}, err
	}
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	e := stats.Estimate{
		Value: stats.SortedQuantile(sorted, p), SE: math.NaN(), DF: math.Inf(1), Low: math.Inf(-1), High: math.Inf(1),
		Level: level, P: math.NaN(), N: n, Clusters: n, Method: "quantile, order statistics, independent observations",
	}
	if n == 0 {
		e.NotEstimable(stats.NoData)
		return e, nil
	}
	low, high, reached := orderRanks(n, p, level)
	if low > 0 {
		e.Low = sorted[low-1]
	}
	if high <= n {
		e.High = sorted[high-1]
	}
	if low == 0 || high > n {
		e.Warn("too-few-for-level", fmt.Sprintf("%d observations allow no two-sided %.0f %% limits of this quantile", n, 100*level), "record more, or ask for a lower level")
	}
	e.Method += fmt.Sprintf(", coverage %.1f %%", 100*reached)
	return e, nil
}

// orderRanks gives 1-based ranks low <= high with P(low <= B < high) >= level
// for B binomial(n, p), the closest together, most central, that reach it;
// 0 and n+1 stand for no limit on that side.
func orderRanks(n int, p, level float64) (low, high int, reached float64) {
	cdf := make([]float64, n+2) // cdf[k] = P(B <= k-1)
	for k := 1; k <= n+1; k++ {
		cdf[k] = dist.BinomialCDF(k-1, n, p)
	}
	low, high, reached = 0, n+1, 1
	centre := float64(n)*p + 0.5
	best := math.Inf(1)
	h := 1
	for l := 0; l <= n; l++ {
		for h = max(h, l+1); h <= n+1 && cdf[h]-cdf[l] < level; h++ {
		}
		if h > n+1 {
			break
		}
		width := float64(h - l)
		off := math.Abs(float64(h+l)/2 - centre)
		if score := width + off/float64(2*n+4); score < best {
			best, low, high, reached = score, l, h, cdf[h]-cdf[l]
		}
	}
	return low, high, reached
}

// ClusteredQuantile is the type 7 quantile p of x with a percentile interval
// from resampling whole cases (Davison & Hinkley 1997, sections 3.8 and 5.3).
// The percentile form is used because a sample quantile is not smooth enough
// for BCa's acceleration (ibid., section 5.3.2).
func ClusteredQuantile(x []float64, cluster []int, p, level float64, s resample.BootstrapSettings) (resample.BootstrapResult, error) {
	if err := checkQuantile(x, cluster, p, level); err != nil {
		return resample.BootstrapResult{}, err
	}
	// Rows in rising order with the number of their case: a replicate counts
	// how often each case was drawn and walks to the wanted order statistics.
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	groups := bycase.Rows(len(x), cluster)
	sortGroups(groups, x)
	caseOf := make([]int, len(x))
	for c, g := range groups {
		for _, row := range g {
			caseOf[row] = c
		}
	}
	values, owner := make([]float64, len(x)), make([]int, len(x))
	for i, row := range order {
		values[i], owner[i] = x[row], caseOf[row]
	}
	r, err := resample.BootstrapClusters(len(groups), func() func([]int) float64 {
		times := make([]int, len(groups))
		return func(picked []int) float64 {
			clear(times)
			total := 0
			for _, c := range picked {
				times[c]++
				total += len(groups[c])
			}
			return weightedQuantile(values, owner, times, total, p)
		}
	}, level, s)
	r.Percentile()
	r.N, r.Method = len(x), "quantile, percentile bootstrap of whole cases"
	return r, err
}

// sortGroups puts cases in the order of the sizes of their values, so that
// neither the names of cases nor the direction move a draw.
func sortGroups(groups [][]int, x []float64) {
	byValue := func(a, b int) int { return numeric.BySize(x[a], x[b]) }
	for _, g := range groups {
		slices.SortFunc(g, byValue)
	}
	slices.SortFunc(groups, func(a, b []int) int { return slices.CompareFunc(a, b, byValue) })
}

// weightedQuantile is the type 7 quantile of values repeated times[owner].
func weightedQuantile(values []float64, owner, times []int, total int, p float64) float64 {
	pos := p * float64(total-1)
	k := int(pos)
	seen := 0
	for i, v := range values {
		seen += times[owner[i]]
		if seen <= k {
			continue
		}
		if seen > k+1 || pos == float64(k) {
			return v
		}
		for j := i + 1; j < len(values); j++ {
			if times[owner[j]] > 0 {
				return v + (pos-float64(k))*(values[j]-v)
			}
		}
		return v
	}
	return math.NaN()
}

func checkQuantile(x []float64, cluster []int, p, level float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("stats: quantile %v: expected between 0 and 1", p)
	}
	if err := stats.CheckLevel(level); err != nil {
		return err
	}
	return bycase.CheckClustered(len(x), cluster, x)
}
