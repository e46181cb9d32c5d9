package sandwich

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// ExactFit says that the fit leaves nothing but rounding.
var ExactFit = stats.Warning{
	ID: "no-spread", Text: "the fit leaves no spread where this is estimated: its residuals are zero",
	Remedy: "check the values: repeated or derived columns fit exactly",
}

// LeastSE is what rounding alone makes of the standard error of an estimate with
// coordinates l, of outcomes whose weighted length is size.
func LeastSE(l []float64, size float64) float64 {
	return stats.Rounding / 10 * size * math.Sqrt(numeric.Dot(l, l))
}

// FinishRobust fills standard error, degrees of freedom, limits and P of an
// estimate with coordinates l.
func FinishRobust(e *stats.Estimate, s Sandwich, l []float64, size float64) {
	alone := [][]float64{l}
	e.SE = math.Sqrt(math.Max(0, s.Between(alone)[0]))
	m := s.Gather(alone).moments(nil)
	// What the variance estimator expects under the working covariance falls
	// to nothing where a case alone determines the contrast.
	seen := m.mean[0] / s.working(l)
	switch least := LeastSE(l, size); {
	case seen > 1e-8 && e.SE <= least:
		e.NotEstimable(ExactFit)
		return
	case !(seen > 1e-8 && e.SE > least):
		e.NotEstimable(stats.Warning{ID: "one-case-determines", Text: "a single case determines this comparison: its spread between cases cannot be seen", Remedy: "add cases to the smaller group"})
		return
	}
	e.DF = m.satterthwaite()
	e.SetLimits()
	e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
	e.WarnFewClusters()
	e.WarnFewDF()
}

// StartContrast fills value, level, rows and clusters of a contrast and gives its
// coordinates; false, with the reason, where the data cannot estimate it. Panics
// where c does not fit the columns or level is outside 0 to 1.
func StartContrast(o *Solution, n, clusters int, c []float64, level float64) (e stats.Estimate, l []float64, ok bool) {
	if len(c) != o.Width {
		panic(fmt.Sprintf("stats: contrast of %d numbers for %d columns", len(c), o.Width))
	}
	if err := stats.CheckLevel(level); err != nil {
		panic(err.Error())
	}
	e = stats.Estimate{Value: o.Value(c), Level: level, N: n, Clusters: clusters}
	l, ok = o.Coordinates(c)
	if !ok {
		e.Value = math.NaN()
		e.NotEstimable(stats.Warning{ID: "not-estimable", Text: "the data cannot separate this comparison from another column", Remedy: "drop one of the columns, or collect cases where they differ"})
		return e, nil, false
	}
	if math.IsNaN(numeric.Dot(l, l)) {
		e.Value = math.NaN()
		e.NotEstimable(stats.Warning{ID: "bad-contrast", Text: "the comparison holds a number that is not finite", Remedy: "correct the comparison"})
		return e, nil, false
	}
	if numeric.Dot(l, l) == 0 {
		e.Value = 0
		e.NotEstimable(stats.Warning{ID: "empty-contrast", Text: "the comparison is empty", Remedy: "compare two different rows"})
		return e, nil, false
	}
	return e, l, true
}

// Quadratic is l'Al.
func Quadratic(a, l []float64) (s float64) {
	p := len(l)
	for i, v := range l {
		s += v * numeric.Dot(a[i*p:(i+1)*p], l)
	}
	return s
}
