package robust

import (
	"fmt"

	"shortfall/audit/stats"
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
	return sandwich.StartContrast(&f.design.Solution, f.N, f.Clusters, c, level)
}
