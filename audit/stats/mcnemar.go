package stats

import (
	"fmt"
	"math"
)

// McNemarResult compares two yes-or-no readings of the same things by the
// pairs that changed.
type McNemarResult struct {
	OnlyFirst, OnlySecond int
	Statistic             float64 // (b-c)^2/(b+c) (McNemar 1947, Psychometrika 12:153-157)
	P                     float64 // of Statistic, chi-square on 1 df
	StatisticContinuity   float64 // (|b-c|-1)^2/(b+c) (Edwards 1948)
	PContinuity           float64
	PExact                float64 // binomial, twice the smaller tail
	// PMid counts the observed table half (Fagerland, Lydersen & Laake 2013,
	// BMC Med Res Methodol 13:91).
	PMid     float64
	Method   string
	Warnings []Warning
}

// McNemar tests b pairs that were yes only at first against c only at second.
// Pairs must be independent: one tooth a case.
func McNemar(b, c int) (McNemarResult, error) {
	if b < 0 || c < 0 {
		return McNemarResult{}, fmt.Errorf("stats: counts %d and %d: expected 0 or more", b, c)
	}
	r := McNemarResult{OnlyFirst: b, OnlySecond: c, Method: "McNemar, independent pairs"}
	n := b + c
	if n == 0 {
		r.P, r.PContinuity, r.PExact, r.PMid = 1, 1, 1, 1
		r.Warnings = append(r.Warnings, Warning{"no-data", "no pair changed", "record more pairs"})
		return r, nil
	}
	d, fn := math.Abs(float64(b-c)), float64(n)
	r.Statistic, r.StatisticContinuity = d*d/fn, square(max(0, d-1))/fn
	r.P, r.PContinuity = chiSquareTail(r.Statistic, 1), chiSquareTail(r.StatisticContinuity, 1)
	low := min(b, c)
	tail := binomialCDF(low, n, 0.5)
	r.PExact = min(1, 2*tail)
	r.PMid = min(1, 2*tail-binomialProbability(low, n, 0.5))
	if b == c {
		r.PMid = 1 // by symmetry, free of rounding
	}
	if n < 10 {
		r.Warnings = append(r.Warnings, Warning{
			"few-changes", fmt.Sprintf("only %d pairs changed (fewer than 10): the chi-square P values are rough", n), "read the mid-P",
		})
	}
	return r, nil
}

// McNemarOddsRatio is b/c, the odds ratio within pairs, with limits by
// Clopper-Pearson on b of b+c, turned into odds; P is McNemar's exact one
// (Breslow & Day 1980, Statistical Methods in Cancer Research I, section 5.2,
// conditional on the pairs that changed).
func McNemarOddsRatio(b, c int, level float64) (Estimate, error) {
	r, err := McNemar(b, c)
	if err == nil {
		err = checkLevel(level)
	}
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{
		Value: float64(b) / float64(c), SE: math.NaN(), DF: math.Inf(1), Level: level, P: r.PExact, N: b + c, Clusters: b + c,
		Method: "odds ratio within pairs, exact limits, independent pairs", Warnings: r.Warnings,
	}
	if b+c == 0 {
		e.Low, e.High = math.NaN(), math.NaN()
		return e, nil
	}
	low, high := exactLimits(float64(b), float64(b+c), level)
	e.Low, e.High = low/(1-low), high/(1-high)
	return e, nil
}

// binomialProbability is P(X = x) for X binomial, 0 < p < 1 (Loader 2000).
func binomialProbability(x, n int, p float64) float64 {
	switch {
	case x < 0 || x > n:
		return 0
	case x == 0:
		return math.Exp(float64(n) * math.Log1p(-p))
	case x == n:
		return math.Exp(float64(n) * math.Log(p))
	}
	return binomialRaw(float64(x), float64(n-x), p, 1-p)
}

// binomialCDF is P(X <= x) (Abramowitz & Stegun 26.5.24).
func binomialCDF(x, n int, p float64) float64 {
	switch {
	case x < 0:
		return 0
	case x >= n:
		return 1
	}
	return regBeta(float64(n-x), float64(x+1), 1-p, p)
}

// poissonProbability is P(X = x) for mean m.
func poissonProbability(x int, m float64) float64 {
	if x < 0 {
		return 0
	}
	lg, _ := math.Lgamma(float64(x) + 1)
	return math.Exp(float64(x)*math.Log(m) - m - lg)
}

// poissonCDF is P(X <= x) (Abramowitz & Stegun 26.4.21).
func poissonCDF(x int, m float64) float64 {
	if x < 0 {
		return 0
	}
	return chiSquareTail(2*m, 2*float64(x+1))
}
