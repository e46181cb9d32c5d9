package planning

import (
	"fmt"
	"math"

	"shortfall/audit/stats/dist"
)

// PowerSettings of a planned comparison; there is no useful zero value.
type PowerSettings struct {
	Alpha float64 // two-sided
	Power float64
}

func (s PowerSettings) check() error {
	if !(s.Alpha > 0 && s.Alpha < 1 && s.Power > s.Alpha && s.Power < 1) {
		return fmt.Errorf("stats: alpha %v and power %v: expected 0 < alpha < power < 1", s.Alpha, s.Power)
	}
	return nil
}

// DetectableFromSE is the difference an analysis with this standard error and
// degrees of freedom sees with the power asked for: (t_(1-alpha/2) + t_power)
// SE (Bloom 1995, Eval Rev 19:547-556, the minimum detectable effect).
func DetectableFromSE(se, df float64, s PowerSettings) float64 {
	if s.check() != nil {
		return math.NaN()
	}
	return (dist.TQuantile(1-s.Alpha/2, df) + dist.TQuantile(s.Power, df)) * se
}

// PowerFromSE is the chance that a two-sided test at level alpha sees a difference
// that the reader names, with this standard error and degrees of freedom, by the
// noncentral t (as R's power.t.test with strict = TRUE). It is never to be computed
// from the difference that was seen: that is P in other words (Hoenig & Heisey 2001,
// Am Stat 55:19-24). NaN where it cannot be computed.
func PowerFromSE(difference, se, df, alpha float64) float64 {
	if !(se > 0) || !(df > 0) || !(alpha > 0 && alpha < 1) || math.IsNaN(difference) {
		return math.NaN()
	}
	q, ncp := dist.TQuantile(1-alpha/2, df), difference/se
	return dist.NoncentralTail(q, df, ncp) + dist.NoncentralTail(q, df, -ncp)
}

// MoreCasesFor is how many more cases would bring what such an analysis sees down to
// a difference that the reader names (not the one seen), where so many cases gave
// this standard error: it falls with the root of the cases. 0 where they suffice,
// infinite for no difference. Arithmetic of this package, no source.
func MoreCasesFor(difference, se, df float64, cases int, s PowerSettings) float64 {
	if cases < 1 {
		return math.NaN()
	}
	factor := DetectableFromSE(se, df, s) / math.Abs(difference)
	return max(0, math.Ceil((factor*factor-1)*float64(cases)))
}
