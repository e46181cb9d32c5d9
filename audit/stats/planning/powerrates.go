package planning

import (
	"fmt"
	"math"

	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// SampleSizeProportions is the size of each arm to see p1 against p2 with a
// two-sided chi-square test without continuity correction (Fleiss, Levin &
// Paik 2003, equation 4.14), times the design effect (Donner & Klar 2000,
// section 5.2).
func SampleSizeProportions(p1, p2 float64, c Clustering, s PowerSettings) (SampleSize, error) {
	if err := s.check(c); err != nil {
		return SampleSize{}, err
	}
	if !(p1 >= 0 && p1 <= 1 && p2 >= 0 && p2 <= 1) || p1 == p2 {
		return SampleSize{}, fmt.Errorf("stats: shares %v and %v: expected two different ones within 0 to 1", p1, p2)
	}
	return SampleSize{
		Independent: proportionSize(p1, p2, s), Method: "two proportions, two-sided chi-square test, design effect",
	}.clustered(c)
}

func proportionSize(p1, p2 float64, s PowerSettings) float64 {
	mean := (p1 + p2) / 2
	a := dist.NormalQuantile(1-s.Alpha/2) * math.Sqrt(2*mean*(1-mean))
	b := dist.NormalQuantile(s.Power) * math.Sqrt(p1*(1-p1)+p2*(1-p2))
	return numeric.Square((a + b) / (p1 - p2))
}

// DetectableProportion is the share above or below p1 (direction +1 or -1)
// that so many cases an arm would see; NaN where none within 0 to 1 would be.
// The inverse of SampleSizeProportions (Fleiss, Levin & Paik 2003, equation
// 4.14).
func DetectableProportion(p1, direction float64, casesPerArm int, c Clustering, s PowerSettings) (float64, error) {
	if err := s.check(c); err != nil {
		return 0, err
	}
	if !(p1 >= 0 && p1 <= 1) || math.Abs(direction) != 1 || casesPerArm < 1 {
		return 0, fmt.Errorf("stats: share %v, direction %v, %d cases: expected 0 to 1, 1 or -1, and at least 1", p1, direction, casesPerArm)
	}
	n := float64(casesPerArm) * c.PerCase / c.DesignEffect()
	near, far := p1, max(0, direction)
	if far == p1 || proportionSize(p1, far, s) > n {
		return math.NaN(), nil
	}
	for range 100 {
		p := near + (far-near)/2
		if proportionSize(p1, p, s) > n {
			near = p
		} else {
			far = p
		}
	}
	return far, nil
}

// CaseVariation is how rates are counted in a planned comparison of counts.
type CaseVariation struct {
	Exposure float64 // units of exposure a case, above 0; 1 where counts are by case
	CV       float64 // coefficient of variation of true rates between cases, 0 or more
}

func (v CaseVariation) check() error {
	if !(v.Exposure > 0 && v.CV >= 0) || math.IsInf(v.Exposure+v.CV, 1) {
		return fmt.Errorf("stats: exposure %v and coefficient of variation %v: expected above 0, and 0 or more", v.Exposure, v.CV)
	}
	return nil
}

// SampleSizeRates is the number of cases an arm to see rate r1 against r2 of
// events a unit of exposure (Hayes & Bennett 1999, Int J Epidemiol 28:319-326,
// equation 2): 1 + z^2 [(r1+r2)/y + k^2 (r1^2+r2^2)]/(r1-r2)^2, k the
// coefficient of variation between cases.
func SampleSizeRates(r1, r2 float64, v CaseVariation, s PowerSettings) (SampleSize, error) {
	if err := s.check(Unclustered()); err != nil {
		return SampleSize{}, err
	}
	if err := v.check(); err != nil {
		return SampleSize{}, err
	}
	if !(r1 >= 0 && r2 >= 0) || r1 == r2 || math.IsInf(r1+r2, 1) {
		return SampleSize{}, fmt.Errorf("stats: rates %v and %v: expected two different ones of 0 or more", r1, r2)
	}
	n, err := SampleSize{
		Independent: 1 + numeric.Square(s.z())*rateVariance(r1, r2, v)/numeric.Square(r1-r2),
		Method:      "two rates, cases as units (Hayes-Bennett)",
	}.clustered(Unclustered())
	if err != nil {
		return SampleSize{}, err
	}
	n.DesignEffect = rateVariance(r1, r2, v) / rateVariance(r1, r2, CaseVariation{Exposure: v.Exposure})
	return n, nil
}

func rateVariance(r1, r2 float64, v CaseVariation) float64 {
	return (r1+r2)/v.Exposure + v.CV*v.CV*(r1*r1+r2*r2)
}

// DetectableRate is the rate above or below r1 (direction +1 or -1) that so
// many cases an arm would see; NaN where not even a rate of 0 would be. The
// inverse of SampleSizeRates (Hayes & Bennett 1999, equation 2).
func DetectableRate(r1, direction float64, casesPerArm int, v CaseVariation, s PowerSettings) (float64, error) {
	if err := s.check(Unclustered()); err != nil {
		return 0, err
	}
	if err := v.check(); err != nil {
		return 0, err
	}
	if !(r1 >= 0) || math.IsInf(r1, 1) || math.Abs(direction) != 1 || casesPerArm < 2 {
		return 0, fmt.Errorf("stats: rate %v, direction %v, %d cases: expected 0 or more, 1 or -1, and at least 2", r1, direction, casesPerArm)
	}
	short := func(r float64) bool {
		return 1+numeric.Square(s.z())*rateVariance(r1, r, v)/numeric.Square(r1-r) > float64(casesPerArm)
	}
	near, far := r1, 0.0
	if direction > 0 {
		far = 2*r1 + 1
		// With k z above sqrt(n-1) no rate is far enough: the spread grows with it.
		for i := 0; short(far) && i < 60; i++ {
			far *= 2
		}
	}
	if far == r1 || short(far) {
		return math.NaN(), nil
	}
	for range 100 {
		if r := near + (far-near)/2; short(r) {
			near = r
		} else {
			far = r
		}
	}
	return far, nil
}
