package prop

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/round"
)

// smallEffectiveN is the effective number of observations below which a share is
// said to rest on few; a convention, printed in the warning.
const smallEffectiveN = 10.0

// Proportion is a share with its clustered interval.
type Proportion struct {
	stats.Estimate
	// DesignEffect is the clustered variance over p(1-p)/n (Rao & Scott 1992,
	// Biometrics 48:577-585); NaN where all or none are successes.
	DesignEffect float64
	// EffectiveN is the number of independent observations the interval is
	// built on; N where rows are independent.
	EffectiveN float64
}

// ClusteredProportion is the share of true in success with an interval that
// allows for clustering by case: Wilson's limits with the number of rows
// divided by a design effect (Rao & Scott 1992) and a t quantile in place of
// the normal one, as Korn & Graubard (1998, Survey Methodology 24:193-201) do
// with exact limits; Dean & Pagano (2015, J Surv Stat Methodol 3:484-503)
// compare such intervals. For the degrees of freedom see
// intervalDF. At 10 to 200 cases and shares of .3 and .5, 95 % limits cover
// 93.3 to 96.5 % in this package's simulation, at .1 up to 98.3 %.
// SE is the CR2 standard error. DesignEffect is Rao and Scott's own, with
// m/(m-1), so that it can be set beside published ones; the one the limits are
// built on is steadier, see intervalEffect.
//
// All or no successes show no spread: the limit is then built on the effective
// number of cases, which is safe whatever the correlation within a case. One
// row in every case gives Wilson's interval. cluster nil: every row its own
// case. One pass and one short allocation where ids come sorted.
func ClusteredProportion(success []bool, cluster []int, level float64) (Proportion, error) {
	if err := stats.CheckLevel(level); err != nil {
		return Proportion{}, err
	}
	if err := bycase.CheckClustered(len(success), cluster); err != nil {
		return Proportion{}, err
	}
	return ProportionOfCases(CountCases(success, cluster), level)
}

// ProportionOfCases is ClusteredProportion of rows that were counted case by case; each
// case has at least one.
func ProportionOfCases(cases []CaseCount, level float64) (Proportion, error) {
	if err := stats.CheckLevel(level); err != nil {
		return Proportion{}, err
	}
	for i, c := range cases {
		if !(c.N > 0 && c.X >= 0 && c.X <= c.N) {
			return Proportion{}, fmt.Errorf("stats: case %d has %g successes among %g rows", i, c.X, c.N)
		}
	}
	s := sumProportion(cases)
	p := Proportion{Estimate: stats.Estimate{
		Value: s.p, P: math.NaN(), Level: level, N: int(s.n), Clusters: int(s.m),
		Method: "proportion, Wilson limits on the effective number, CR2 variance, cases as units, t between Satterthwaite df and cases - 1",
	}, DesignEffect: math.NaN(), EffectiveN: math.NaN()}
	s.fill(&p)
	return p, nil
}

// CaseCount is one case: X successes among N rows.
type CaseCount struct{ X, N float64 }

// CountCases adds rows up to cases, in the order of their ids: one pass and
// one allocation where ids come sorted.
func CountCases(success []bool, cluster []int) []CaseCount {
	one := func(v bool) float64 {
		if v {
			return 1
		}
		return 0
	}
	if cluster == nil {
		cases := make([]CaseCount, len(success))
		for i, v := range success {
			cases[i] = CaseCount{one(v), 1}
		}
		return cases
	}
	if !slices.IsSorted(cluster) {
		index, m := bycase.Index(cluster)
		cases := make([]CaseCount, m)
		for i, k := range index {
			cases[k].X += one(success[i])
			cases[k].N++
		}
		return slices.DeleteFunc(cases, func(c CaseCount) bool { return c.N == 0 })
	}
	runs := 0
	for i := range cluster {
		if i == 0 || cluster[i] != cluster[i-1] {
			runs++
		}
	}
	cases := make([]CaseCount, 0, runs)
	for i, id := range cluster {
		if i == 0 || id != cluster[i-1] {
			cases = append(cases, CaseCount{})
		}
		c := &cases[len(cases)-1]
		c.X += one(success[i])
		c.N++
	}
	return cases
}

// proportionSums are the sums over cases behind a clustered proportion; a
// case's leverage is its share of the rows.
type proportionSums struct {
	cases  []CaseCount
	n, m   float64 // rows and cases
	p      float64
	mixed  float64 // cases with a success, or with a failure, whichever is fewer
	u2     float64 // sum (x - p n)^2 over cases
	u2cr2  float64 // the same over 1 - leverage
	n2     float64 // sum n^2
	maxH   float64
	within float64 // sum n p (1-p), p of the case itself
	across float64 // sum n (p of the case - p)^2
}

func sumProportion(cases []CaseCount) proportionSums {
	s := proportionSums{cases: cases, m: float64(len(cases))}
	var x float64
	for _, c := range cases {
		x += c.X
		s.n += c.N
	}
	s.p = x / s.n
	var some, notAll float64
	for _, c := range cases {
		if c.X > 0 {
			some++
		}
		if c.X < c.N {
			notAll++
		}
		h, u := c.N/s.n, c.X-s.p*c.N
		s.u2 += u * u
		s.u2cr2 += u * u / (1 - h)
		s.n2 += c.N * c.N
		s.maxH = max(s.maxH, h)
		s.within += c.X * (c.N - c.X) / c.N
		s.across += u * u / c.N
	}
	s.mixed = min(some, notAll)
	return s
}

// fill sets design effect, effective n, limits and warnings.
func (s proportionSums) fill(p *Proportion) {
	switch {
	case s.n == 0:
		p.Value = math.NaN()
		p.NotEstimable(stats.NoData)
		return
	case s.m == s.n: // independent rows: Wilson
		p.DF, p.EffectiveN, p.DesignEffect = math.Inf(1), s.n, 1
		p.SE = math.Sqrt(s.p * (1 - s.p) / s.n)
		p.Method = "proportion, Wilson score interval, one observation a case"
	case s.m < 2:
		p.NotEstimable(stats.OneCluster)
		return
	case s.p == 0 || s.p == 1:
		p.DF, p.EffectiveN, p.SE = s.satterthwaite(1), s.n/s.intervalEffect(), math.NaN()
		p.Warn("no-variation", "all outcomes are alike: the limit is built as if all teeth of a case went together",
			"read the limit as cautious, or add cases")
	default:
		srs := s.p * (1 - s.p) / s.n
		p.DesignEffect = s.m / (s.m - 1) * s.u2 / (s.n * s.n) / srs
		p.SE = math.Sqrt(s.u2cr2) / s.n
		p.DF = s.intervalDF()
		p.EffectiveN = s.n / s.intervalEffect()
	}
	p.Low, p.High = wilsonLimits(s.p, p.EffectiveN, dist.TQuantile(0.5+p.Level/2, p.DF))
	s.warnings(p)
}

func (s proportionSums) warnings(p *Proportion) {
	p.WarnFewClusters()
	if s.maxH > stats.DominantShare {
		p.Warn("one-case-dominates", fmt.Sprintf("one case carries %s %% of the observations", round.Text(100*s.maxH, 0)),
			"show that case apart, or add cases")
	}
	if p.EffectiveN < smallEffectiveN {
		p.Warn("small-effective-n", fmt.Sprintf("worth fewer than %s independent observations", round.Text(smallEffectiveN, 0)),
			"collect more cases before acting on it")
	}
}

// intervalEffect is the design effect the limits are built on. It is the mean
// of the CR2 variance ratio and of 1 + (sum n^2/n - 1) rho (Kish 1965, section
// 8.2, in the form for unequal clusters of Donner, Birkett & Buck 1981, Am J
// Epidemiol 114:906-914), the latter not below half the former. Where only k
// cases hold the rarer outcome their spread says little about correlation, so
// with weight 1/k^2 the effect is drawn towards its largest value, sum n^2/n,
// reached at k = 1. Averaging and weight are a choice of this package, no
// source, made so that intervals cover in simulation and one success never
// gives a lower limit than none. Below 1 it does not go: teeth of one case are not
// taken to be less alike than strangers', whatever chance makes of few cases.
func (s proportionSums) intervalEffect() float64 {
	largest := s.n2 / s.n
	if s.mixed < 2 {
		return max(1, largest)
	}
	robust := s.u2cr2 / (s.n * s.p * (1 - s.p))
	model := 1 + (largest-1)*s.anovaICC()
	d := (robust + max(model, robust/2)) / 2
	w := 1 / (s.mixed * s.mixed)
	return max(1, math.Pow(d, 1-w)*math.Pow(max(d, largest), w))
}

// intervalDF is the geometric mean of two degrees of freedom: Satterthwaite's
// of the CR2 variance under an exchangeable working correlation estimated from
// the data (Bell & McCaffrey 2002, Survey Methodology 28:169-181; Imbens &
// Kolesar 2016, Rev Econ Stat 98:701-712), and cases less one, the customary
// ones (Korn & Graubard 1998). With cases of one size the two are the same.
// The first alone are too few where sizes differ much, since half of the
// effect is the steadier model-based one and it is bounded by sum n^2/n; the
// second alone are too many: 99 and 90 % of 95 in simulation. The mean is a
// choice of this package, no source. Where one case alone holds the rarer
// outcome, Satterthwaite's under full correlation.
func (s proportionSums) intervalDF() float64 {
	if s.mixed < 2 {
		return s.satterthwaite(1)
	}
	return math.Sqrt((s.m - 1) * s.satterthwaite(max(0, min(1, s.anovaICC()))))
}

// anovaICC is the analysis-of-variance estimate of the correlation within a
// case (Donner & Koval 1980, Biometrics 36:19-25, equation 1; for proportions
// Donner 1989, Stat Med 8:1171-1177). It may be negative.
func (s proportionSums) anovaICC() float64 {
	between, within := s.across/(s.m-1), s.within/(s.n-s.m)
	n0 := (s.n - s.n2/s.n) / (s.m - 1)
	if rho := (between - within) / (between + (n0-1)*within); !math.IsNaN(rho) {
		return rho
	}
	return 0
}

// satterthwaite gives the degrees of freedom of the CR2 variance when case
// sums have variance w = (1-rho) n + rho n^2 (Bell & McCaffrey 2002, equation
// 4.2, with the working model of Imbens & Kolesar 2016, section III.B):
// (tr P)^2 / tr P^2 with P_cd = M_cd / sqrt((1-h_c)(1-h_d)) and
// M_cd = w_c [c = d] - h_c w_d - h_d w_c + h_c h_d sum w, multiplied out so
// that the cost is linear in cases.
func (s proportionSums) satterthwaite(rho float64) float64 {
	var total float64
	weight := func(c CaseCount) float64 { return (1-rho)*c.N + rho*c.N*c.N }
	for _, c := range s.cases {
		total += weight(c)
	}
	var trace, d2, cross, hh, hw, ww float64
	for _, c := range s.cases {
		h, w := c.N/s.n, weight(c)
		a := 1 / (1 - h)
		trace += a * (w - 2*h*w + h*h*total)
		d2 += a * w * a * w
		cross += a * w * a * (h*h*total - 2*h*w)
		hh += a * h * h
		hw += a * h * w
		ww += a * w * w
	}
	square := d2 + 2*cross + 2*hw*hw + 2*hh*ww - 4*total*hh*hw + total*total*hh*hh
	return trace * trace / square
}
