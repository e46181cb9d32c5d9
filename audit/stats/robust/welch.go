package robust

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// WelchDifference is a less b, two independent estimates each with its standard
// error and degrees of freedom, on Welch's degrees of freedom
//
//	(va + vb)^2 / (va^2/dfa + vb^2/dfb)
//
// (Welch 1947, Biometrika 34:28-35), tested against 0. NaN limits and a warning
// where an estimate has no standard error; an error where level is outside 0 to 1.
func WelchDifference(a, b stats.Estimate, level float64) (stats.Estimate, error) {
	if err := stats.CheckLevel(level); err != nil {
		return stats.Estimate{}, err
	}
	e := stats.Estimate{
		Value: a.Value - b.Value, Level: level, N: a.N + b.N, Clusters: a.Clusters + b.Clusters,
		Method: "difference of two independent estimates, t on Welch's degrees of freedom",
	}
	va, vb := a.SE*a.SE, b.SE*b.SE
	if !(va >= 0 && vb >= 0 && va+vb > 0) || !(a.DF > 0 && b.DF > 0) {
		e.NotEstimable(stats.Warning{
			ID: "no-standard-error", Text: "one of the two estimates has no standard error", Remedy: "see the warnings of the estimates, or add cases",
		})
		return e, nil
	}
	e.SE = math.Sqrt(va + vb)
	e.DF = numeric.Square(va+vb) / (va*va/a.DF + vb*vb/b.DF)
	e.SetLimits()
	e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
	return e, nil
}
