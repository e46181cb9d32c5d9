package robust

import (
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
)

// AverageCase is the mean over cases of each case's own ratio, every case with the
// same weight.
type AverageCase struct {
	stats.Estimate
	// Pooled is the ratio of sums of the same rows less the mean over cases: zero
	// but for chance where cases with more planned respond as the others do.
	Pooled stats.Estimate
}

// AverageOfCases estimates the mean over cases of sum(num)/sum(den) within the case,
// with the textbook t interval on cases - 1 degrees of freedom (an analysis of one
// summary a cluster: Donner & Klar 2000, Design and Analysis of Cluster Randomization
// Trials in Health Research), and what the ratio of all sums differs from it,
// by linearisation on the cases,
//
//	z = u/sum(den) - (r - mean r)/m,  u = sum num - R sum den of a case,
//	SE = sqrt(m/(m-1) sum z^2).
//
// A case whose denominators sum to zero has no ratio: it is left out of the mean
// and said. cluster nil: every row a case.
func AverageOfCases(num, den []float64, cluster []int, level float64) (AverageCase, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return AverageCase{}, err
	}
	ratios, dens, rows, left := ratiosOfCases(num, den, cluster)
	m := float64(len(ratios))
	a := AverageCase{Estimate: stats.Estimate{
		Level: level, P: math.NaN(), N: rows, Clusters: len(ratios), Method: "mean of the cases' own ratios, each case with the same weight, t on cases - 1 df",
	}}
	total, top := 0.0, 0.0
	for i, r := range ratios {
		a.Value += r / m
		total += dens[i]
		top += r * dens[i]
	}
	a.Pooled = stats.Estimate{
		Value: top/total - a.Value, Level: level, N: rows, Clusters: len(ratios),
		Method: "ratio of sums less the mean of the cases' own ratios, linearised, t on cases - 1 df",
	}
	var s2, z2, size float64
	for i, r := range ratios {
		s2 += (r - a.Value) * (r - a.Value)
		z := (r-top/total)*dens[i]/total - (r-a.Value)/m
		z2 += z * z
		size = max(size, math.Abs(r))
	}
	a.SE, a.DF = math.Sqrt(s2/(m-1)/m), m-1
	a.Pooled.SE, a.Pooled.DF = math.Sqrt(m/(m-1)*z2), m-1
	for _, e := range []*stats.Estimate{&a.Estimate, &a.Pooled} {
		switch {
		case m == 0 || total == 0:
			e.Value = math.NaN()
			e.NotEstimable(stats.NoData)
		case m < 2:
			e.NotEstimable(stats.OneCluster)
		case !(e.SE > stats.Rounding*size):
			e.NotEstimable(stats.NoSpread)
		default:
			e.SetLimits()
			e.WarnFewClusters()
		}
	}
	if !math.IsNaN(a.Pooled.SE) {
		a.Pooled.P = dist.TTwoSided(a.Pooled.Value/a.Pooled.SE, a.Pooled.DF)
	}
	if left > 0 {
		a.Warn("cases-without-ratio", "cases whose planned amounts sum to zero have no ratio and were left out", "orient every movement along its plan, and leave out plans of nothing")
	}
	return a, nil
}

// ratiosOfCases are the ratios of the cases that have one, with their denominators and
// rows, and how many have none.
func ratiosOfCases(num, den []float64, cluster []int) (ratios, dens []float64, rows, left int) {
	if cluster == nil && den != nil && !slices.Contains(den, 0) {
		ratios = make([]float64, len(num))
		for i, y := range num {
			ratios[i] = y / den[i]
		}
		return ratios, den, len(num), 0
	}
	runs := 1 // of rows of one case, as many as the lists need where cases come sorted
	for i := 1; i < len(cluster); i++ {
		if cluster[i] != cluster[i-1] {
			runs++
		}
	}
	if cluster == nil {
		runs = len(num)
	}
	ratios, dens = make([]float64, 0, runs), make([]float64, 0, runs)
	bycase.Visit(cluster, num, den, func(y, x float64, n int) {
		if x == 0 {
			left++
			return
		}
		ratios, dens, rows = append(ratios, y/x), append(dens, x), rows+n
	})
	return ratios, dens, rows, left
}
