package decide

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
)

// Equivalence is the outcome of two one-sided tests.
type Equivalence struct {
	Low, High  float64 // the margin
	P          float64 // the larger of the two one-sided P
	Equivalent bool    // P < Alpha
	Alpha      float64
	// IntervalLow and IntervalHigh are the 1 - 2 Alpha interval, which lies
	// inside the margin exactly where Equivalent.
	IntervalLow, IntervalHigh float64
	Method                    string
	Warnings                  []stats.Warning
}

// TestEquivalence asks whether an estimate lies inside a margin by two
// One-sided t tests on the estimate's own standard error and degrees of freedom
// (Schuirmann 1987, J Pharmacokinet Biopharm 15:657-680). The margin must be
// set before the data are seen. P is NaN where the estimate has no standard
// error.
func TestEquivalence(e stats.Estimate, low, high, alpha float64) (Equivalence, error) {
	if !(low < high) {
		return Equivalence{}, fmt.Errorf("stats: margin from %v to %v is empty", low, high)
	}
	if !(alpha > 0 && alpha < 0.5) {
		return Equivalence{}, fmt.Errorf("stats: alpha %v: expected between 0 and 0.5", alpha)
	}
	out := Equivalence{
		Low: low, High: high, Alpha: alpha, P: math.NaN(), IntervalLow: math.NaN(), IntervalHigh: math.NaN(),
		Method: "two one-sided t tests against a margin set beforehand; estimate by " + e.Method, Warnings: e.Warnings,
	}
	if !(e.SE > 0) || !(e.DF > 0) || math.IsNaN(e.Value) {
		out.Warnings = append(slices.Clone(e.Warnings), stats.Warning{
			ID: "no-standard-error", Text: "the estimate has no standard error, so that equivalence cannot be judged", Remedy: "see the warnings of the estimate, or add cases",
		})
		return out, nil
	}
	out.P = math.Max(dist.TTail((e.Value-low)/e.SE, e.DF), dist.TTail((high-e.Value)/e.SE, e.DF))
	out.Equivalent = out.P < alpha
	h := dist.TQuantile(1-alpha, e.DF) * e.SE
	out.IntervalLow, out.IntervalHigh = e.Value-h, e.Value+h
	return out, nil
}
