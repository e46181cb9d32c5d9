package control

import (
	"fmt"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// FunnelLimits are the limits at one precision, one for each probability asked.
type FunnelLimits struct {
	Probabilities []float64
	Limits        []float64
	Method        string
	Warnings      []stats.Warning
}

// add puts a limit within low and high; one that had to be moved says so.
func (l *FunnelLimits) add(limit, low, high float64) {
	l.Limits = append(l.Limits, max(low, min(high, limit)))
	if (limit < low || limit > high) && len(l.Warnings) == 0 {
		l.Warnings = []stats.Warning{{ID: "clipped", Text: "a limit lay beyond what is possible and was drawn in: too little was observed for it to be of use", Remedy: "join periods or units until the limits lie inside"}}
	}
}

// FunnelBinomial gives the limits of a share around target for n independent
// observations, by exact binomial quantiles with linear interpolation between
// them (Spiegelhalter 2005, Stat Med 24:1185-1202, appendix A.1.1): with r the
// quantile, F and f distribution and probability at r,
// y = (r - (F(r)-p)/f(r))/n, clipped to 0 and 1.
func FunnelBinomial(target float64, n int, probabilities ...float64) (FunnelLimits, error) {
	if !(target > 0 && target < 1) || n < 1 {
		return FunnelLimits{}, fmt.Errorf("stats: target %v and %d observations: expected within 0 and 1, and at least 1", target, n)
	}
	l := FunnelLimits{Probabilities: probabilities, Method: "binomial, exact, interpolated, clipped to 0 and 1"}
	for _, p := range probabilities {
		if !(p > 0 && p < 1) {
			return FunnelLimits{}, errProbability(p)
		}
		r := dist.BinomialQuantile(p, n, target)
		back := (dist.BinomialCDF(r, n, target) - p) / dist.BinomialProbability(r, n, target)
		l.add((float64(r)-back)/float64(n), 0, 1)
	}
	return l, nil
}

func errProbability(p float64) error {
	return fmt.Errorf("stats: probability %v: expected between 0 and 1", p)
}
