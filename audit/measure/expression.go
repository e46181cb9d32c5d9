package measure

import (
	"shortfall/audit/results"
	"shortfall/audit/stats/robust"
)

// Expression is what was achieved of what was planned, total over total, by case: with
// its interval where the cases are enough, else as a number alone and the reason.
func Expression(achieved, planned []float64, cluster []int, cases int, s *results.Settings) (results.Spread, []results.Warning) {
	out := NoSpread()
	e, err := robust.RatioOfSums(achieved, planned, cluster, s.Level)
	switch {
	case err != nil:
		return out, []results.Warning{NotEstimated(err)}
	case cases < s.MinIntervalCases:
		out.Value = OrMissing(e.Value)
		return out, []results.Warning{FewCases(s.MinIntervalCases)}
	}
	return Spread(e), Warnings(e.Warnings)
}
