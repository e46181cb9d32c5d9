package confound

import (
	"math"

	"shortfall/audit/stats"
)

// Sensitivity says how strong an unmeasured confounder would have to be to
// explain an association away (VanderWeele & Ding 2017, Ann Intern Med
// 167:268-274), on the risk-ratio scale, for the estimate and for the interval
// limit nearest 1. 1 means nothing is needed.
type Sensitivity struct {
	RR       float64 // the risk ratio the E-values refer to
	Estimate float64
	Limit    float64
	Method   string
	Warnings []stats.Warning
}

// EValueRR gives the E-values of a risk ratio and its interval. Numbers that
// are not positive and ordered give NaN.
func EValueRR(rr, low, high float64) Sensitivity {
	s := Sensitivity{RR: rr, Estimate: eValue(rr), Limit: math.NaN(), Method: "E-value of a risk ratio, one unmeasured confounder, no other bias"}
	switch {
	case !(low > 0 && low <= rr && rr <= high):
		s.Warnings = []stats.Warning{{ID: "not-estimable", Text: "the estimate has no positive limits in order, so that its sensitivity cannot be told", Remedy: "see the warnings of the estimate"}}
	case low <= 1 && high >= 1:
		s.Limit = 1
	case rr > 1:
		s.Limit = eValue(low)
	default:
		s.Limit = eValue(high)
	}
	return s
}

// approximate says what the way through a risk ratio rests on.
func approximate(s Sensitivity) Sensitivity {
	s.Method = "E-value of a standardised difference, taken for a risk ratio of exp(0.91 d) (an approximation), one unmeasured confounder, no other bias"
	return s
}

// EValueSMDLimits gives the E-values of a standardised mean difference d with
// limits of its own, of any level and any distribution, through RR = exp(0.91 d)
// of each (VanderWeele & Ding 2017, table 2). With the limits d -+ 1.96 se it is
// EValueSMD, but for the rounding of 0.91 x 1.96 to 1.78.
func EValueSMDLimits(d, low, high float64) Sensitivity {
	return approximate(EValueRR(math.Exp(0.91*d), math.Exp(0.91*low), math.Exp(0.91*high)))
}

// eValue is RR + sqrt(RR (RR-1)), of 1/RR below 1 (VanderWeele & Ding 2017).
func eValue(rr float64) float64 {
	if !(rr > 0) {
		return math.NaN()
	}
	if rr < 1 {
		rr = 1 / rr
	}
	return rr + math.Sqrt(rr*(rr-1))
}
