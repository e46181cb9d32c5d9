package nonpar

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
)

// ClusterRankTest is a signed rank test with the case as the unit.
type ClusterRankTest struct {
	Statistic float64 // sum over cases of the mean signed rank
	Z         float64
	P         float64 // exact over the signs of cases where Exact
	Exact     bool
	N         int // differences other than zero
	Clusters  int
	Zeros     int
	Method    string
	Warnings  []stats.Warning
}

// exactFlips is the number of cases up to which all signs of cases are tried.
const exactFlips = 16

// ClusteredSignedRank tests paired differences d of clustered things against 0
// (Datta & Satten 2008, Biometrics 64:501-507, equations 3 to 5): a difference
// has the rank 1 + sum over the other cases of the share of their absolute
// differences below its own (ties half), signed; a case counts with its mean
// T_c, and Z = sum T_c / sqrt(sum T_c^2). Cases weigh alike whatever their
// size, so the size may carry information. Up to 16 cases P is exact over all
// sign changes of whole cases. One row a case is the signed rank test.
func ClusteredSignedRank(d []float64, cluster []int) (ClusterRankTest, error) {
	if err := bycase.CheckClustered(len(d), cluster, d); err != nil {
		return ClusterRankTest{}, err
	}
	r := ClusterRankTest{Method: "clustered signed rank (Datta-Satten), cases as units, symmetric differences"}
	groups := bycase.Rows(len(d), cluster)
	for i, g := range groups {
		groups[i] = slices.DeleteFunc(g, func(row int) bool { return d[row] == 0 })
		r.Zeros += len(g) - len(groups[i])
	}
	groups = slices.DeleteFunc(groups, func(g []int) bool { return len(g) == 0 })
	r.N, r.Clusters = len(d)-r.Zeros, len(groups)
	if r.N == 0 {
		r.Z, r.P = 0, 1
		r.Warnings = append(r.Warnings, stats.Warning{ID: "no-data", Text: "no difference other than zero", Remedy: "record more pairs"})
		return r, nil
	}
	r.judge(caseScores(d, groups))
	if r.Exact {
		r.Method += ", exact"
	}
	if r.Clusters < stats.FewClusters {
		r.Warnings = append(r.Warnings, stats.Warning{
			ID: "few-clusters", Text: fmt.Sprintf("only %d cases differ (fewer than %d): no P below %.2g is possible", r.Clusters, stats.FewClusters, math.Pow(2, float64(1-r.Clusters))),
			Remedy: "collect more cases",
		})
	}
	return r, nil
}

// judge sums the scores of cases and tests the sum.
func (r *ClusterRankTest) judge(scores []float64) {
	var s2 float64
	for _, v := range scores {
		r.Statistic += v
		s2 += v * v
	}
	r.Z = r.Statistic / math.Sqrt(s2)
	if r.Exact = len(scores) <= exactFlips; r.Exact {
		r.P = flipP(scores)
	} else {
		r.P = dist.NormalTwoSided(r.Z)
	}
}

// caseScores gives the mean signed rank of each case. All absolute differences
// are sorted once with weights 1/n of their case, so the cost is n log n.
func caseScores(d []float64, groups [][]int) []float64 {
	type weighted struct{ abs, w float64 }
	var all []weighted
	for _, g := range groups {
		for _, row := range g {
			all = append(all, weighted{math.Abs(d[row]), 1 / float64(len(g))})
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].abs < all[j].abs })
	values, sums := make([]float64, len(all)), make([]float64, len(all)+1)
	for i, v := range all {
		values[i] = v.abs
		sums[i+1] = sums[i] + v.w
	}
	share := func(values, sums []float64, x float64) float64 { // mean of F(x-) and F(x)
		low := sort.SearchFloat64s(values, x)
		high := low + sort.Search(len(values)-low, func(i int) bool { return values[low+i] > x })
		return (sums[low] + sums[high]) / 2
	}
	scores := make([]float64, len(groups))
	for c, g := range groups {
		own := make([]float64, len(g))
		ownSums := make([]float64, len(g)+1)
		for i, row := range g {
			own[i] = math.Abs(d[row])
		}
		slices.Sort(own)
		for i := range own {
			ownSums[i+1] = float64(i+1) / float64(len(g))
		}
		for _, row := range g {
			x := math.Abs(d[row])
			rank := 1 + share(values, sums, x) - share(own, ownSums, x)
			scores[c] += math.Copysign(rank, d[row]) / float64(len(g))
		}
	}
	return scores
}

// flipP is the share of sign vectors whose |sum| reaches the observed one. Half
// of them suffice: the other half mirrors it.
func flipP(scores []float64) float64 {
	var observed, scale float64
	for _, v := range scores {
		observed += v
		scale += math.Abs(v)
	}
	limit := math.Abs(observed) - 1e-12*scale
	hits, half := 0, 1<<(len(scores)-1)
	for bits := range half {
		sum := scores[0]
		for i, v := range scores[1:] {
			if bits>>i&1 == 1 {
				sum -= v
			} else {
				sum += v
			}
		}
		if math.Abs(sum) >= limit {
			hits++
		}
	}
	return float64(hits) / float64(half)
}
