package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/round"
)

// FiellerKind is the shape of a Fieller confidence set.
type FiellerKind int

// The three shapes (Fieller 1954, J R Stat Soc B 16:175-185; von Luxburg &
// Franz 2009, Stat Sin 19:1095-1117, theorem 1).
const (
	Bounded   FiellerKind = iota + 1 // Low to High
	TwoRays                          // everything but Low to High
	WholeLine                        // no value excluded
)

// String names the shape.
func (k FiellerKind) String() string {
	return map[FiellerKind]string{Bounded: "bounded", TwoRays: "two rays", WholeLine: "whole line"}[k]
}

// FiellerSet is the confidence set of a ratio. Only a bounded set is an
// interval: the Estimate's Low and High are then its limits, and NaN with a
// warning otherwise, to be printed as not estimable.
type FiellerSet struct {
	stats.Estimate
	Kind FiellerKind
	G    float64 // t^2 var(denominator)/denominator^2; 1 or more means unbounded
	// GapLow and GapHigh bound the excluded gap of two rays; NaN otherwise.
	GapLow, GapHigh float64
}

// Fieller gives the confidence set of a/b from the variances and covariance of
// the two (Fieller 1954): all r with (a - r b)^2 <= t^2 (vaa - 2 r vab + r^2
// vbb), t on df degrees of freedom (+Inf: normal).
func Fieller(a, b, vaa, vbb, vab, df, level float64) (FiellerSet, error) {
	if err := stats.CheckLevel(level); err != nil {
		return FiellerSet{}, err
	}
	if !(bycase.InRange(a) && bycase.InRange(b) && bycase.InRange(vaa) && bycase.InRange(vbb) && vaa >= 0 && vbb >= 0 && vab*vab <= vaa*vbb*(1+1e-12) && df > 0) {
		return FiellerSet{}, fmt.Errorf("stats: Fieller needs finite numbers, variances of 0 or more, a covariance they allow and df above 0")
	}
	nan := math.NaN()
	t := dist.TQuantile(0.5+level/2, df)
	r := a / b
	if b == 0 {
		r = nan
	}
	s := FiellerSet{Estimate: stats.Estimate{
		Value: r, DF: df, Low: nan, High: nan, Level: level, P: nan, Method: "ratio, Fieller set",
		SE: math.Sqrt(max(0, vaa-2*r*vab+r*r*vbb)) / math.Abs(b),
	}, G: t * t * vbb / (b * b), GapLow: nan, GapHigh: nan}
	// A (r-c)^2 - 2 B (r-c) + C <= 0 about c = a/b, where C = -t^2 V loses no digits
	// to a^2; about 0 where there is no a/b.
	centre, qa, qb, qc := r, b*b-t*t*vbb, t*t*(r*vbb-vab), -t*t*max(0, vaa-2*r*vab+r*r*vbb)
	if b == 0 {
		centre, qb, qc = 0, -t*t*vab, a*a-t*t*vaa
	}
	disc := qb*qb - qa*qc
	switch {
	case qa > 0:
		s.Kind = Bounded
		root := math.Sqrt(max(0, disc))
		s.Low, s.High = centre+(qb-root)/qa, centre+(qb+root)/qa
		if !(s.SE > 0) {
			s.NotEstimable(stats.NoSpread)
		}
		return s, nil
	case qa < 0 && disc > 0:
		s.Kind = TwoRays
		root := math.Sqrt(disc)
		s.GapLow, s.GapHigh = centre+(qb+root)/qa, centre+(qb-root)/qa
	default:
		s.Kind = WholeLine
	}
	s.Warn("not-estimable", fmt.Sprintf("the denominator may be zero (Fieller's g = %s): the confidence set is unbounded (%s)", round.Text(s.G, 2), s.Kind),
		"print \"not estimable\"; add cases or leave out very small plans")
	return s, nil
}

// RatioOfSumsFieller is the Fieller set of sum(num)/sum(den) with the case as
// the unit: variances of the case totals, t on m-1 degrees of freedom (Cochran
// 1977, section 6.5).
func RatioOfSumsFieller(num, den []float64, cluster []int, level float64) (FiellerSet, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return FiellerSet{}, err
	}
	s := sumRatio(num, den, cluster)
	e, ok := s.estimate(level, "ratio of sums, Fieller set, cases as units, t on cases - 1 df")
	nan := math.NaN()
	if !ok {
		return FiellerSet{Estimate: e, G: nan, GapLow: nan, GapHigh: nan}, nil
	}
	m := float64(s.clusters)
	meanY, meanX := s.ratio*s.total/m, s.total/m
	var vyy, vxx, vxy float64
	bycase.Visit(cluster, num, den, func(y, x float64, _ int) {
		vyy += numeric.Square(y - meanY)
		vxx += numeric.Square(x - meanX)
		vxy += (y - meanY) * (x - meanX)
	})
	k := 1 / (m * (m - 1))
	set, err := Fieller(meanY, meanX, k*vyy, k*vxx, k*vxy, m-1, level)
	set.N, set.Clusters, set.Method = e.N, e.Clusters, e.Method
	set.WarnFewClusters()
	return set, err
}
