package nonpar

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
)

// RankSum is the Wilcoxon-Mann-Whitney rank sum test of two independent
// samples (Mann & Whitney 1947, Ann Math Stat 18:50-60). P comes from the
// exact permutation distribution, ties included by midranks (Lehmann 1975,
// section 1.4), up to 100 values, else from the normal approximation with tie
// and continuity correction. The two-sided P is twice the smaller exact tail,
// each tail summed from its own side, so swapping the samples changes nothing.
// The estimate is the median of all differences a - b (Hodges & Lehmann 1963,
// Ann Math Stat 34:598-611) with the interval that inverts the untied test.
func RankSum(a, b []float64, level float64) (RankTest, error) {
	if err := stats.CheckLevel(level); err != nil {
		return RankTest{}, err
	}
	for _, x := range [][]float64{a, b} {
		if err := bycase.CheckClustered(len(x), nil, x); err != nil {
			return RankTest{}, err
		}
	}
	m, n := len(a), len(b)
	r := newRankTest(m+n, level, "rank sum, independent observations")
	if m == 0 || n == 0 {
		r.Warnings = append(r.Warnings, stats.NoData)
		return r, nil
	}
	ranks, ties := doubleRanks(slices.Concat(a, b))
	w2 := 0
	for _, v := range ranks[:m] {
		w2 += v
	}
	r.Statistic = float64(w2-m*(m+1)) / 2
	if r.Exact = m+n <= exactRankSum; r.Exact {
		ranks, w2 = halve(ranks, w2)
		r.exactP(rankSumDistribution(ranks, m), w2)
	} else {
		fm, fn := float64(m), float64(n)
		total := fm + fn
		variance := fm * fn / 12 * (total + 1 - tieSum(ties)/(total*(total-1)))
		r.normalP(r.Statistic-fm*fn/2, math.Sqrt(variance))
		r.Method += ", normal approximation"
	}
	r.rankSumInterval(a, b)
	return r, nil
}

// rankSumDistribution is the probability of each rank sum when any m of
// the ranks are as likely as any other m. The recursion adds one rank at a
// time and carries probabilities, not counts, so nothing overflows.
func rankSumDistribution(ranks []int, m int) []float64 {
	sorted := slices.Clone(ranks)
	slices.Sort(sorted)
	top := 0
	for _, r := range sorted[len(sorted)-m:] {
		top += r
	}
	// p[k][s]: k chosen so far with sum s, divided by the number of ways to
	// choose k of those seen so far.
	p := make([][]float64, m+1)
	for k := range p {
		p[k] = make([]float64, top+1)
	}
	p[0][0] = 1
	reach := 0
	for seen, r := range sorted {
		reach = min(top, reach+r)
		for k := min(seen+1, m); k >= 1; k-- {
			take := float64(k) / float64(seen+1) // C(seen, k-1)/C(seen+1, k)
			for s := reach; s >= 0; s-- {
				q := (1 - take) * p[k][s]
				if s >= r {
					q += take * p[k-1][s-r]
				}
				p[k][s] = q
			}
		}
	}
	return p[m]
}

// largestDifferences bounds the pairwise differences listed for the estimate.
const largestDifferences = 25_000_000

func (r *RankTest) rankSumInterval(a, b []float64) {
	m, n := len(a), len(b)
	if m*n > largestDifferences {
		r.Warn("too-many-pairs", fmt.Sprintf("%d pairwise differences: the shift is not estimated", m*n), "compare medians with bootstrap intervals")
		return
	}
	diffs := make([]float64, 0, m*n)
	for _, x := range a {
		for _, y := range b {
			diffs = append(diffs, x-y)
		}
	}
	slices.Sort(diffs)
	r.Value = stats.SortedQuantile(diffs, 0.5)
	fm, fn := float64(m), float64(n)
	cdf := func(k int) float64 {
		return dist.NormalCDF((float64(k) + 0.5 - fm*fn/2) / math.Sqrt(fm*fn*(fm+fn+1)/12))
	}
	if m+n <= exactRankSum {
		ranks := make([]int, m+n)
		for i := range ranks {
			ranks[i] = i + 1
		}
		p := rankSumDistribution(ranks, m)
		sums := make([]float64, m*n+1)
		var c float64
		for k := range sums {
			c += p[k+m*(m+1)/2]
			sums[k] = c
		}
		cdf = func(k int) float64 { return sums[k] }
	}
	r.orderInterval(diffs, cdf)
}
