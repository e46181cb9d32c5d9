package planning

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// PowerSettings of a planned comparison; there is no useful zero value.
type PowerSettings struct {
	Alpha float64 // two-sided
	Power float64
}

// DefaultPower is a two-sided 5 % test with 80 % power.
func DefaultPower() PowerSettings { return PowerSettings{Alpha: 0.05, Power: 0.8} }

// Clustering of the observations of a planned comparison.
type Clustering struct {
	PerCase float64 // observations a case, 1 or more
	ICC     float64 // correlation within a case, 0 to 1
}

// Unclustered is one observation a case.
func Unclustered() Clustering { return Clustering{PerCase: 1} }

// DesignEffect is 1 + (m-1) icc (Kish 1965, section 8.2).
func (c Clustering) DesignEffect() float64 { return 1 + (c.PerCase-1)*c.ICC }

// SampleSize of each of two arms of equal size.
type SampleSize struct {
	Independent  float64 // observations an arm if all were independent, not rounded
	DesignEffect float64
	Observations int // an arm, clustering allowed for
	Cases        int // an arm
	Method       string
	Warnings     []stats.Warning
}

func (s PowerSettings) check(c Clustering) error {
	if !(s.Alpha > 0 && s.Alpha < 1 && s.Power > s.Alpha && s.Power < 1) {
		return fmt.Errorf("stats: alpha %v and power %v: expected 0 < alpha < power < 1", s.Alpha, s.Power)
	}
	if !(c.PerCase >= 1 && c.ICC >= 0 && c.ICC <= 1) || math.IsInf(c.PerCase, 1) {
		return fmt.Errorf("stats: %v observations a case with correlation %v: expected 1 or more and 0 to 1", c.PerCase, c.ICC)
	}
	return nil
}

// z is the sum of the two normal quantiles.
func (s PowerSettings) z() float64 {
	return dist.NormalQuantile(1-s.Alpha/2) + dist.NormalQuantile(s.Power)
}

// mostObservations is the size beyond which no plan is one.
const mostObservations = 1e12

// clustered rounds up to whole observations and whole cases.
func (n SampleSize) clustered(c Clustering) (SampleSize, error) {
	n.DesignEffect = c.DesignEffect()
	if !(n.Independent*n.DesignEffect < mostObservations) {
		return SampleSize{}, fmt.Errorf("stats: the difference is too small to plan for: more than %.0e observations an arm", mostObservations)
	}
	n.Observations = ceil(math.Ceil(n.Independent-1e-9) * n.DesignEffect)
	n.Cases = ceil(float64(n.Observations) / c.PerCase)
	if n.Cases < stats.FewClusters {
		n.Warnings = append(n.Warnings, stats.Warning{
			ID: "few-clusters", Text: fmt.Sprintf("%d cases an arm (fewer than %d): too few for the normal reference", n.Cases, stats.FewClusters),
			Remedy: "plan at least ten cases an arm",
		})
	}
	return n, nil
}

func ceil(x float64) int { return int(math.Ceil(x - 1e-9)) }

// SampleSizeMeans is the size of each arm to see a difference of means with a
// two-sided t test of equal variances (power by the noncentral t, Cohen 1988,
// section 2.4), times the design effect.
func SampleSizeMeans(difference, sd float64, c Clustering, s PowerSettings) (SampleSize, error) {
	if err := s.check(c); err != nil {
		return SampleSize{}, err
	}
	d := math.Abs(difference) / sd
	if !(d > 0) || math.IsInf(d, 1) {
		return SampleSize{}, fmt.Errorf("stats: difference %v with standard deviation %v: expected both to be other than 0 and finite", difference, sd)
	}
	low, high := 1.0+1e-6, 4+4*numeric.Square(s.z()/d)
	for range 200 { // power rises with n
		n := low + (high-low)/2
		if PowerMeans(n, d, s.Alpha) < s.Power {
			low = n
		} else {
			high = n
		}
	}
	return SampleSize{Independent: high, Method: "two means, two-sided t test, design effect"}.clustered(c)
}

// PowerMeans is the power to see a standardised difference d with n independent
// observations an arm: P(T > t) on 2n-2 df, T noncentral with d sqrt(n/2);
// rejections on the wrong side are not counted. (Cohen 1988, Statistical Power
// Analysis, 2nd ed., chapter 2; as power.t.test of R with strict = FALSE.)
func PowerMeans(n, d, alpha float64) float64 {
	df := 2*n - 2
	return dist.NoncentralTail(dist.TQuantile(1-alpha/2, df), df, d*math.Sqrt(n/2))
}

// DetectableMean is the difference of means that so many cases an arm would
// see with the power asked for; the inverse of SampleSizeMeans (Cohen 1988,
// section 2.4) with the effective number of observations.
func DetectableMean(sd float64, casesPerArm int, c Clustering, s PowerSettings) (float64, error) {
	if err := s.check(c); err != nil {
		return 0, err
	}
	n := float64(casesPerArm) * c.PerCase / c.DesignEffect()
	if !(sd > 0 && sd <= bycase.Largest) || casesPerArm < 2 {
		return 0, fmt.Errorf("stats: standard deviation %v and %d cases an arm: expected above 0 and at least 2", sd, casesPerArm)
	}
	low, high := 0.0, 1.0
	for PowerMeans(n, high, s.Alpha) < s.Power && high < bycase.Largest {
		high *= 2
	}
	for range 100 {
		d := low + (high-low)/2
		if PowerMeans(n, d, s.Alpha) < s.Power {
			low = d
		} else {
			high = d
		}
	}
	return high * sd, nil
}

// DetectableFromSE is the difference an analysis with this standard error and
// degrees of freedom sees with the power asked for: (t_(1-alpha/2) + t_power)
// SE (Bloom 1995, Eval Rev 19:547-556, the minimum detectable effect).
func DetectableFromSE(se, df float64, s PowerSettings) float64 {
	if s.check(Unclustered()) != nil {
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

// CasesFor is how many cases in all would show a difference that the reader names
// (not the one seen) with the power asked for, where so many cases gave this
// standard error: it falls with the root of the cases. Infinite for no difference.
// Arithmetic of this package, no source.
func CasesFor(difference, se float64, cases int, s PowerSettings) float64 {
	if s.check(Unclustered()) != nil || !(se > 0) || cases < 1 || math.IsNaN(difference) {
		return math.NaN()
	}
	return math.Ceil(float64(cases) * numeric.Square(s.z()*se/difference))
}
