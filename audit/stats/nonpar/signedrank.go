package nonpar

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
)

// RankTest is a rank test with its Hodges-Lehmann estimate. Estimate.Value is
// the pseudomedian (signed rank) or the median of differences first minus
// second (rank sum), with an interval that inverts the test.
type RankTest struct {
	stats.Estimate
	Statistic float64 // V: sum of positive ranks; W: rank sum of first minus its least value
	Exact     bool    // P from the exact permutation distribution, ties included
	PGreater  float64 // one-sided P that the first is larger
	PLess     float64
	Zeros     int // zero differences left out
	// Reached is the confidence the interval really has; at least Level where
	// exact.
	Reached float64
}

// exactSignedRank and exactRankSum are the sizes up to which the permutation
// distribution is listed; above, the normal approximation is close.
const (
	exactSignedRank = 200
	exactRankSum    = 100 // both samples together
)

// SignedRank is Wilcoxon's signed rank test of differences d against 0
// (Wilcoxon 1945, Biometrics Bull 1:80-83). Zeros are left out and counted.
// P comes from the exact distribution over all signs, with midranks for ties
// (Hollander & Wolfe 1999, section 3.1, comment 11) up to 200 differences, else
// from the normal approximation with tie correction and continuity correction.
// The interval is read from the ordered Walsh averages (ibid., section 3.3).
func SignedRank(d []float64, level float64) (RankTest, error) {
	if err := stats.CheckLevel(level); err != nil {
		return RankTest{}, err
	}
	if err := bycase.CheckClustered(len(d), nil, d); err != nil {
		return RankTest{}, err
	}
	kept := slices.DeleteFunc(slices.Clone(d), func(v float64) bool { return v == 0 })
	n := len(kept)
	r := newRankTest(n, level, "signed rank, independent pairs, symmetric differences")
	r.Zeros = len(d) - n
	if n == 0 {
		r.Value = math.NaN()
		if r.Zeros > 0 { // all alike: no evidence either way
			r.P, r.PGreater, r.PLess, r.Value = 1, 1, 1, 0
		}
		r.Warnings = append(r.Warnings, stats.Warning{ID: "no-data", Text: "no difference other than zero", Remedy: "record more pairs"})
		return r, nil
	}
	abs := make([]float64, n)
	for i, v := range kept {
		abs[i] = math.Abs(v)
	}
	ranks, ties := doubleRanks(abs)
	var v2 int
	for i, v := range kept {
		if v > 0 {
			v2 += ranks[i]
		}
	}
	r.Statistic = float64(v2) / 2
	if r.Exact = n <= exactSignedRank; r.Exact {
		ranks, v2 = halve(ranks, v2)
		r.exactP(signedRankDistribution(ranks), v2)
	} else {
		f := float64(n)
		mean, variance := f*(f+1)/4, f*(f+1)*(2*f+1)/24-tieSum(ties)/48
		r.normalP(r.Statistic-mean, math.Sqrt(variance))
		r.Method += ", normal approximation"
	}
	r.signedRankInterval(kept)
	return r, nil
}

func newRankTest(n int, level float64, method string) RankTest {
	nan := math.NaN()
	return RankTest{Estimate: stats.Estimate{
		Value: nan, SE: nan, DF: math.Inf(1), Low: nan, High: nan, Level: level, P: nan, N: n, Clusters: n, Method: method,
	}, PGreater: nan, PLess: nan, Reached: nan}
}

// signedRankDistribution is the probability of each sum of positive ranks when every sign is as likely as its opposite.
func signedRankDistribution(ranks []int) []float64 {
	total := 0
	for _, r := range ranks {
		total += r
	}
	p := make([]float64, total+1)
	p[0] = 1
	top := 0
	for _, r := range ranks {
		top += r
		for s := top; s >= 0; s-- {
			q := p[s] / 2
			if s >= r {
				q += p[s-r] / 2
			}
			p[s] = q
		}
	}
	return p
}

// exactP fills the P values from a distribution over whole numbers. The
// two-sided one is the chance of being as far from the middle of the symmetric
// signed rank, and twice the smaller tail otherwise: both are the same under
// swapping arms.
func (r *RankTest) exactP(p []float64, observed int) {
	var below, above float64
	for s, v := range p {
		if s <= observed {
			below += v
		}
		if s >= observed {
			above += v
		}
	}
	r.PLess, r.PGreater = min(1, below), min(1, above)
	r.P = min(1, 2*min(below, above))
}

// normalP fills the P values from a deviation with continuity correction 1/2.
func (r *RankTest) normalP(deviation, sd float64) {
	if !(sd > 0) {
		r.P, r.PGreater, r.PLess = 1, 1, 1
		return
	}
	r.PGreater = dist.NormalTail((deviation - 0.5) / sd)
	r.PLess = dist.NormalCDF((deviation + 0.5) / sd)
	r.P = min(1, 2*min(r.PGreater, r.PLess))
}

// signedRankInterval fills the Hodges-Lehmann estimate, the median of Walsh
// averages, and the interval from the untied exact distribution (normal above
// its size), as tables do; ties make it cautious.
func (r *RankTest) signedRankInterval(d []float64) {
	n := len(d)
	if n*(n+1)/2 > largestDifferences {
		r.Warn("too-many-pairs", fmt.Sprintf("%d pairwise means: the shift is not estimated", n*(n+1)/2), "take a quantile with its interval")
		return
	}
	walsh := make([]float64, 0, n*(n+1)/2)
	for i, a := range d {
		for _, b := range d[i:] {
			walsh = append(walsh, (a+b)/2)
		}
	}
	slices.Sort(walsh)
	r.Value = stats.SortedQuantile(walsh, 0.5)
	ranks := make([]int, n)
	for i := range ranks {
		ranks[i] = i + 1
	}
	var cdf func(k int) float64
	if n <= exactSignedRank {
		p := signedRankDistribution(ranks)
		sums := make([]float64, len(walsh)+1)
		var c float64
		for k := range sums {
			c += p[k]
			sums[k] = c
		}
		cdf = func(k int) float64 { return sums[k] }
	} else {
		f := float64(n)
		cdf = func(k int) float64 {
			return dist.NormalCDF((float64(k) + 0.5 - f*(f+1)/4) / math.Sqrt(f*(f+1)*(2*f+1)/24))
		}
	}
	r.orderInterval(walsh, cdf)
}

// orderInterval takes limits from sorted pairwise values: the largest k with
// P(S <= k-1) <= tail, symmetric, where S counts values on one side of 0.
func (r *RankTest) orderInterval(sorted []float64, cdf func(int) float64) {
	tail := (1 - r.Level) / 2
	k := 0
	for k < len(sorted)/2 && cdf(k) <= tail {
		k++
	}
	if k == 0 {
		r.Low, r.High, r.Reached = math.Inf(-1), math.Inf(1), 1
		r.Warn("too-few-for-level", fmt.Sprintf("%d observations allow no %.0f %% interval", r.N, 100*r.Level), "record more, or ask for a lower level")
		return
	}
	r.Low, r.High = sorted[k-1], sorted[len(sorted)-k]
	r.Reached = 1 - 2*cdf(k-1)
}
