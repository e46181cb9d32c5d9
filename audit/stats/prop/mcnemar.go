package prop

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
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
	Warnings []stats.Warning
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
		r.Warnings = append(r.Warnings, stats.Warning{ID: "no-data", Text: "no pair changed", Remedy: "record more pairs"})
		return r, nil
	}
	d, fn := math.Abs(float64(b-c)), float64(n)
	r.Statistic, r.StatisticContinuity = d*d/fn, numeric.Square(max(0, d-1))/fn
	r.P, r.PContinuity = dist.ChiSquareTail(r.Statistic, 1), dist.ChiSquareTail(r.StatisticContinuity, 1)
	low := min(b, c)
	tail := dist.BinomialCDF(low, n, 0.5)
	r.PExact = min(1, 2*tail)
	r.PMid = min(1, 2*tail-dist.BinomialProbability(low, n, 0.5))
	if b == c {
		r.PMid = 1 // by symmetry, free of rounding
	}
	if n < 10 {
		r.Warnings = append(r.Warnings, stats.Warning{
			ID: "few-changes", Text: fmt.Sprintf("only %d pairs changed (fewer than 10): the chi-square P values are rough", n), Remedy: "read the mid-P",
		})
	}
	return r, nil
}

// McNemarOddsRatio is b/c, the odds ratio within pairs, with limits by
// Clopper-Pearson on b of b+c, turned into odds; P is McNemar's exact one
// (Breslow & Day 1980, Statistical Methods in Cancer Research I, section 5.2,
// conditional on the pairs that changed).
func McNemarOddsRatio(b, c int, level float64) (stats.Estimate, error) {
	r, err := McNemar(b, c)
	if err == nil {
		err = stats.CheckLevel(level)
	}
	if err != nil {
		return stats.Estimate{}, err
	}
	e := stats.Estimate{
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
