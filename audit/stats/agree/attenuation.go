package agree

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// leastReliability is the share of the spread of plans that must be real for a
// slope on them to be read as it stands: a convention of this package, no
// source; 0.9 means that a slope is biased by a tenth.
const leastReliability = 0.9

// AttenuationResult says how far measurement error flattens a slope.
type AttenuationResult struct {
	// Reliability is 1 - errorSD^2/observedSD^2, the factor by which a slope on
	// the measured variable is flattened (Fuller 1987, Measurement Error
	// Models, equation 1.1.7); 0 where the error explains all spread.
	Reliability float64
	// ErrorShare is errorSD over the typical amount.
	ErrorShare float64
	Method     string
	Warnings   []stats.Warning
}

// Attenuation sets the method error of one reading, in the unit of the plans,
// against the spread and the typical size of the planned amounts.
func Attenuation(errorSD, observedSD, typical float64) (AttenuationResult, error) {
	if !(errorSD >= 0 && observedSD > 0 && typical > 0) || math.IsInf(errorSD+observedSD+typical, 1) {
		return AttenuationResult{}, fmt.Errorf("stats: method error %v, spread %v, typical amount %v: expected 0 or more, above 0, above 0", errorSD, observedSD, typical)
	}
	r := AttenuationResult{
		Reliability: max(0, 1-numeric.Square(errorSD/observedSD)),
		ErrorShare:  errorSD / typical,
		Method:      "classical measurement error, independent of the true amount, of one known size",
	}
	if r.Reliability < leastReliability {
		r.Warnings = append(r.Warnings, stats.Warning{
			ID:     "attenuation",
			Text:   fmt.Sprintf("method error is not small against the plans: slopes are flattened to about %.0f %% of their size (below %.0f %%)", 100*r.Reliability, 100*leastReliability),
			Remedy: "read the ratio of sums rather than a slope, and measure twice",
		})
	}
	if r.ErrorShare > 1-leastReliability {
		r.Warnings = append(r.Warnings, stats.Warning{
			ID:     "error-against-plan",
			Text:   fmt.Sprintf("method error is %.0f %% of a typical plan (above %.0f %%)", 100*r.ErrorShare, 100*(1-leastReliability)),
			Remedy: "judge no single tooth by its ratio",
		})
	}
	return r, nil
}
