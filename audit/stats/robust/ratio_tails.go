package robust

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
)

// RatioOfSums estimates sum(num)/sum(den) with an interval that allows for
// clustering by case: the bias-reduced variance of Bell & McCaffrey (2002, Survey
// Methodology 28:169-181) for the regression of case totals of num on those of den
// through the origin with weights 1/den, whose slope the ratio of sums is, so that
// a case with leverage h counts u^2/(1-h); t on Satterthwaite's degrees of freedom
// or fewer (see longTails). In simulation its 95 % interval covers 93 to 97 % from
// 10 cases on, where the linearised one falls to 84 % when a few cases hold most of
// the teeth. Where denominators are negative it falls back to RatioOfSumsLinearised
// and says so. One pass and no
// allocation where ids come sorted, short arrays where they are dense.
func RatioOfSums(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return stats.Estimate{}, err
	}
	s := sumRatio(num, den, cluster)
	if s.rows > 0 && s.minH < 0 {
		e, err := RatioOfSumsLinearised(num, den, cluster, level)
		e.Warn("mixed-signs", "denominators of both signs partly cancel", "orient every movement along its plan first")
		return e, err
	}
	return s.cr2(level, longTailsMethod, ratioSums.longTails), nil
}

const longTailsMethod = "ratio of sums, CR2 variance, cases as units, t on Satterthwaite df or fewer where the spread of cases has long tails"

// longTails is the smaller of Satterthwaite's degrees of freedom, which take normal
// cases, and those of the empirical moments: the variance V = sum v_c of the case
// terms v_c = u^2/(1-h) is less certain when a few cases are far out. With
// df = 2 E(V)^2 / Var(V) (Satterthwaite 1946, Biometrics Bulletin 2:110-114),
//
//	df = 2 V^2 / (sum v_c^2 - V^2/m),
//
// which for cases of equal denominators is 2m/(b2 - 1), b2 the kurtosis of the case
// sums: the normal b2 = 3 gives m, as in the variance of a sample variance,
// sigma^4 (2/(m-1) + (b2-3)/m) (O'Neill 2014, Am Stat 68:282-296; the same
// correction in Box 1953, Biometrika 40:318-335). So the interval is never narrower
// than on Satterthwaite's.
func (s ratioSums) longTails() float64 { return min(s.satterthwaite(), s.fourthMoment()) }

// fourthMoment is 2 V^2 / (sum v_c^2 - V^2/m); infinite where all terms are
// alike, as between two cases.
func (s ratioSums) fourthMoment() float64 {
	spread := s.u4cr2 - s.u2cr2*s.u2cr2/float64(s.clusters)
	if !(spread > 0) {
		return math.Inf(1)
	}
	return 2 * s.u2cr2 * s.u2cr2 / spread
}
