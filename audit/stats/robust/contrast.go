package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// Contrast estimates c'b, c over all columns of the model, with the
// cluster-robust standard error and Satterthwaite's degrees of freedom for
// that very contrast (Bell & McCaffrey 2002, equation 4.2, extended by
// Pustejovsky & Tipton 2018), and tests it against 0. A contrast the data
// cannot estimate has NaN limits and a warning: one that is not in the row space
// of the design is not estimable, whichever of the dependent columns was
// dropped; no dropped coefficient is taken to be zero. Panics where len(c) is not the
// number of columns or level is outside (0, 1).
func (f *LinearFit) Contrast(c []float64, level float64) stats.Estimate {
	e, l, ok := f.start(c, level)
	e.Method = fmt.Sprintf("least squares, %s variance by case, t on Satterthwaite df", f.Variance)
	if !ok {
		return e
	}
	if f.robust == nil {
		e.NotEstimable(stats.OneCluster)
		return e
	}
	sandwich.FinishRobust(&e, f.robust, l, f.design.Size())
	return e
}

// start fills what every contrast shares; ok is false where c'b is not
// estimable.
func (f *LinearFit) start(c []float64, level float64) (e stats.Estimate, l []float64, ok bool) {
	return sandwich.StartContrast(f.design, f.N, f.Clusters, c, level)
}

// ModelContrast estimates c'b with the textbook standard error, taking rows as
// independent, t on N - Rank degrees of freedom. It is for measurements that
// are not clustered, and to show beside the clustered interval what clustering
// costs. (Seber & Lee 2003, Linear Regression Analysis, 2nd ed., section 3.2.)
func (f *LinearFit) ModelContrast(c []float64, level float64) stats.Estimate {
	e, l, ok := f.start(c, level)
	e.Clusters = f.N
	e.Method = "least squares, rows taken as independent, t on n - p df"
	if !ok {
		return e
	}
	if f.DF < 1 {
		e.NotEstimable(stats.Warning{ID: "no-df", Text: "as many columns as rows: no residual is left to judge by", Remedy: "drop columns, or add rows"})
		return e
	}
	e.SE, e.DF = f.Sigma*math.Sqrt(numeric.Dot(l, l)), f.DF
	if !(e.SE > sandwich.LeastSE(l, f.design.Size())) {
		e.NotEstimable(sandwich.ExactFit)
		return e
	}
	e.SetLimits()
	e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
	return e
}

// JointTest tests that all contrasts (rows over the columns of the model) are
// zero by the approximate Hotelling T^2 test with small-sample degrees of
// freedom (Pustejovsky & Tipton 2018, section 3.2, equation 11; the HTZ test
// of R's clubSandwich). Panics where a row does not fit the columns.
func (f *LinearFit) JointTest(contrasts [][]float64) stats.JointTest {
	return sandwich.RobustJoint(f.design, f.robust, contrasts, fmt.Sprintf("approximate Hotelling T-squared, %s variance by case", f.Variance))
}
