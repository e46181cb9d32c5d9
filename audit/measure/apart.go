package measure

import (
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"shortfall/audit/results"
)

// Lower tells which of several cells are lower than the middle one beyond chance: the
// interval of the estimate, at a level shared by all of them (Bonferroni), lies below it.
// The lowest of many that are alike is low by chance, and is not called so.
//
// The interval is widened about the estimate by the ratio of the quantiles of Student's t
// at its degrees of freedom, or of the normal distribution where it has none.
func Lower(of []*results.Cell, s *results.Settings) func(*results.Cell) bool {
	if len(of) < 2 {
		return func(*results.Cell) bool { return false }
	}
	middle := Middle(of)
	half := (1 - s.Level) / 2
	return func(c *results.Cell) bool {
		wider := quantile(1-half/float64(len(of)), c.DF) / quantile(1-half, c.DF)
		return float64(c.Estimate)+wider*float64(c.High-c.Estimate) < middle
	}
}

// Middle is the estimate of the middle one of the cells, the upper of two.
func Middle(of []*results.Cell) float64 {
	var estimates []float64
	for _, c := range of {
		estimates = append(estimates, float64(c.Estimate))
	}
	slices.Sort(estimates)
	return estimates[len(estimates)/2]
}

func quantile(p float64, df results.Number) float64 {
	if df.OK() && df > 0 {
		return distuv.StudentsT{Sigma: 1, Nu: float64(df)}.Quantile(p)
	}
	return distuv.UnitNormal.Quantile(p)
}

// Ends are the cells of which least and most was achieved, of those with an interval: nil
// where there is none.
func Ends(of []*results.Cell) (low, high *results.Cell) {
	for _, c := range of {
		if c.Suppressed || !c.Low.OK() {
			continue
		}
		if low == nil || c.Estimate < low.Estimate {
			low = c
		}
		if high == nil || c.Estimate > high.Estimate {
			high = c
		}
	}
	return low, high
}
