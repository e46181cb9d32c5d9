package robust

import (
	"fmt"

	"shortfall/audit/stats"
)

// SegmentedModel is an outcome over time with one change.
type SegmentedModel struct {
	Y       []float64
	Time    []float64 // any unit; slopes are per unit
	Change  float64   // rows with Time >= Change come after it
	Weights []float64 // positive; nil = 1
	Cluster []int     // nil = every row its own cluster
	// Covariates are further columns to adjust for, row-major, named.
	CovariateNames  []string
	Covariates      []float64
	InverseVariance bool // see LinearModel
}

// SegmentedFit is the fit of
//
//	y = b0 + b1 (t - c) + b2 after + b3 (t - c) after + covariates
//
// with c the change (Wagner, Soumerai, Zhang & Ross-Degnan 2002, J Clin Pharm
// Ther 27:299-309, equation 1, with time counted from the change).
type SegmentedFit struct {
	Fit         *LinearFit
	Level       stats.Estimate // at the change, by the trend before it
	TrendBefore stats.Estimate
	Step        stats.Estimate // jump at the change
	TrendChange stats.Estimate // trend after minus trend before
	TrendAfter  stats.Estimate
}

// FitSegmented fits step and change of trend with errors clustered as given, in
// place of the autocorrelation model of a single series: rows are cases, and
// neighbouring points share none.
func FitSegmented(m SegmentedModel, v stats.Variance, level float64) (*SegmentedFit, error) {
	n, k := len(m.Y), len(m.CovariateNames)
	if err := stats.CheckLevel(level); err != nil {
		return nil, err
	}
	if len(m.Time) != n || len(m.Covariates) != n*k {
		return nil, fmt.Errorf("stats: %d outcomes, %d times and %d covariate values of %d columns", n, len(m.Time), len(m.Covariates), k)
	}
	lm := stats.LinearModel{
		Names: append([]string{"level", "trend", "step", "change of trend"}, m.CovariateNames...),
		Y:     m.Y, Weights: m.Weights, Cluster: m.Cluster, InverseVariance: m.InverseVariance,
	}
	for i, t := range m.Time {
		after := 0.0
		if t >= m.Change {
			after = 1
		}
		lm.X = append(lm.X, 1, t-m.Change, after, (t-m.Change)*after)
		lm.X = append(lm.X, m.Covariates[i*k:(i+1)*k]...)
	}
	f, err := FitLinear(lm, v)
	if err != nil {
		return nil, err
	}
	contrast := func(columns ...int) stats.Estimate {
		c := make([]float64, len(lm.Names))
		for _, j := range columns {
			c[j] = 1
		}
		return f.Contrast(c, level)
	}
	return &SegmentedFit{
		Fit: f, Level: contrast(0), TrendBefore: contrast(1), Step: contrast(2),
		TrendChange: contrast(3), TrendAfter: contrast(1, 3),
	}, nil
}
