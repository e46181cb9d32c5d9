package nonpar

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
)

// ClusteredPseudomedian is the shift of paired differences d at which
// ClusteredSignedRank sees none: the median of the means of two differences of
// two cases, each case with the same weight whatever its size (Hodges & Lehmann
// 1963, Ann Math Stat 34:598-611, for the statistic of Datta & Satten 2008,
// Biometrics 64:501-507). The interval holds the shifts that the test does not
// reject, exact up to 16 cases; P tests a shift of 0. One row a case is the
// estimate of SignedRank.
func ClusteredPseudomedian(d []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := stats.CheckLevel(level); err != nil {
		return stats.Estimate{}, err
	}
	test, err := ClusteredSignedRank(d, cluster)
	if err != nil {
		return stats.Estimate{}, err
	}
	groups := bycase.Rows(len(d), cluster)
	e := stats.Estimate{
		Value: math.NaN(), SE: math.NaN(), DF: math.Inf(1), Level: level, P: test.P, N: len(d), Clusters: len(groups),
		Method: "clustered pseudomedian, limits by inverting the clustered signed rank test, cases as units, symmetric differences",
	}
	switch {
	case len(d) == 0:
		e.NotEstimable(stats.NoData)
		return e, nil
	case len(groups) < 2:
		e.NotEstimable(stats.OneCluster)
		return e, nil
	}
	s := &shifts{d: d, groups: groups, moved: make([]float64, len(d))}
	low, high := slices.Min(d), slices.Max(d)
	e.Value = (s.where(low, high, func(t float64) bool { return s.statistic(t) > 0 }) +
		s.where(low, high, func(t float64) bool { return s.statistic(t) >= 0 })) / 2
	alpha := 1 - level
	e.Low = s.where(low, e.Value, func(t float64) bool { return s.p(t) <= alpha })
	e.High = s.where(e.Value, high, func(t float64) bool { return s.p(t) > alpha })
	e.WarnFewClusters()
	if least := s.leastP(); least > alpha {
		e.Low, e.High = math.Inf(-1), math.Inf(1)
		e.Warn("too-few-for-level", fmt.Sprintf("%d cases allow no P below %.2g", e.Clusters, least), "record more, or ask for a lower level")
	}
	return e, nil
}

// shifts evaluates the clustered signed rank test of d less a shift.
type shifts struct {
	d, moved []float64
	groups   [][]int
}

func (s *shifts) scores(shift float64) []float64 {
	for i, v := range s.d {
		s.moved[i] = v - shift
	}
	return caseScores(s.moved, s.groups)
}

func (s *shifts) statistic(shift float64) (sum float64) {
	for _, v := range s.scores(shift) {
		sum += v
	}
	if math.Abs(sum) < 1e-9 { // sums of shares: nought up to rounding
		return 0
	}
	return sum
}

func (s *shifts) p(shift float64) float64 {
	var r ClusterRankTest
	r.judge(s.scores(shift))
	return r.P
}

// leastP is the smallest P that so many cases can give.
func (s *shifts) leastP() float64 {
	if len(s.groups) <= exactFlips {
		return math.Pow(2, float64(1-len(s.groups)))
	}
	return 0
}

// where finds the place between low and high up to which f is true.
func (s *shifts) where(low, high float64, f func(float64) bool) float64 {
	for range 60 {
		middle := low + (high-low)/2
		if f(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
