package agree

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// Conventions of method-error studies, named in the warnings that use them.
const (
	enoughPairs = 25   // Springate 2012, Eur J Orthod 34:158-163
	biasAlpha   = 0.10 // Houston 1983, Am J Orthod 83:382-390, tests bias at 10 %
	// agreementZ spans 95 % of differences; limits of agreement and the
	// smallest detectable change are 95 % quantities whatever the level.
	agreementZ = 1.959963984540054
)

// AgreementResult says how well two readings of the same things agree, in
// their own unit. Differences are first minus second.
type AgreementResult struct {
	Pairs int
	// Bias is the mean difference, P of the paired t test against 0.
	Bias stats.Estimate
	// Dahlberg is sqrt(sum d^2 / 2n) (Dahlberg 1940): total error of one
	// reading, bias included. Interval by chi-square on n df, right when there
	// is no bias.
	Dahlberg stats.Estimate
	// MethodOfMoments is SD(d)/sqrt 2 (Springate 2012): random error of one
	// reading, free of bias. Interval by chi-square on n-1 df.
	MethodOfMoments stats.Estimate
	// LowerLimit and UpperLimit are the 95 % limits of agreement, bias -+ 1.96
	// SD(d), with intervals from the standard error sqrt(3/n) SD(d) (Bland &
	// Altman 1986, Lancet 327:307-310).
	LowerLimit, UpperLimit stats.Estimate
	// ICC is absolute agreement of single readings, ICC(2,1) of Shrout &
	// Fleiss (1979).
	ICC stats.Estimate
	// SmallestDetectable is 1.96 sqrt 2 times the random error: a change
	// between two readings of one thing below this is not told from error.
	SmallestDetectable float64
	Warnings           []stats.Warning
}

// Agreement compares two readings of the same things, taken in pairs. Pairs
// are taken as independent; give one pair a case where that matters.
func Agreement(first, second []float64, level float64) (AgreementResult, error) {
	if err := bycase.CheckPairs(first, second, nil, level); err != nil {
		return AgreementResult{}, err
	}
	n := len(first)
	d := make([]float64, n)
	table := make([][]float64, n)
	var d2 float64
	for i := range d {
		d[i] = first[i] - second[i]
		d2 += d[i] * d[i]
		table[i] = []float64{first[i], second[i]}
	}
	mean, variance := numeric.MeanVariance(d)
	r := AgreementResult{Pairs: n, Bias: pairedT(mean, variance, n, level)}
	sd := math.Sqrt(variance)
	if n > 1 && math.IsNaN(r.Bias.SE) {
		sd = 0 // nothing but rounding
	}
	r.Dahlberg = errorSD(math.Sqrt(d2/float64(2*n)), float64(n), n, level, "Dahlberg's error, chi-square interval, no bias assumed")
	r.MethodOfMoments = errorSD(sd/math.Sqrt2, float64(n-1), n, level, "method-of-moments error, chi-square interval")
	r.LowerLimit = agreementLimit(r.Bias, -agreementZ*sd, sd)
	r.UpperLimit = agreementLimit(r.Bias, agreementZ*sd, sd)
	r.SmallestDetectable = agreementZ * sd
	icc, err := IntraclassCorrelations(table, level)
	r.ICC = icc.Agreement
	r.addWarnings()
	return r, err
}

func (r *AgreementResult) addWarnings() {
	warn := func(id, text, remedy string) {
		r.Warnings = append(r.Warnings, stats.Warning{ID: id, Text: text, Remedy: remedy})
	}
	if r.Pairs < 2 {
		warn("few-pairs", "fewer than two pairs: the error cannot be estimated", "measure at least 25 things twice")
		return
	}
	if math.IsNaN(r.Bias.SE) {
		r.Warnings = append(r.Warnings, stats.NoSpread)
	}
	if r.Pairs < enoughPairs {
		warn("few-pairs", fmt.Sprintf("%d pairs (fewer than %d): the error is roughly known", r.Pairs, enoughPairs),
			"repeat the measurement of more cases")
	}
	if r.Bias.P < biasAlpha {
		warn("biased-readings", fmt.Sprintf("the two readings differ systematically (P = %.2g): Dahlberg's error overstates the random error", r.Bias.P),
			"read the method-of-moments error, and find the cause of the bias")
	}
}

// pairedT is a mean difference with its t interval and test.
func pairedT(mean, variance float64, n int, level float64) stats.Estimate {
	e := stats.Estimate{
		Value: mean, SE: math.Sqrt(variance / float64(n)), DF: float64(n - 1), Level: level,
		N: n, Clusters: n, Method: "mean difference, paired t, independent pairs",
	}
	switch {
	case n < 2:
		e.NotEstimable(stats.NoData)
	case e.SE <= stats.Rounding*math.Abs(mean): // all differences alike
		e.NotEstimable(stats.NoSpread)
	default:
		e.SetLimits()
		e.P = dist.TTwoSided(mean/e.SE, e.DF)
	}
	return e
}

// errorSD is a standard deviation with its chi-square interval.
func errorSD(sd, df float64, n int, level float64, method string) stats.Estimate {
	e := stats.Estimate{Value: sd, SE: math.NaN(), DF: df, P: math.NaN(), Level: level, N: n, Clusters: n, Method: method}
	switch {
	case n < 2:
		e.NotEstimable(stats.NoData)
		return e
	case sd == 0:
		e.NotEstimable(stats.NoSpread)
		return e
	}
	e.Low = sd * math.Sqrt(df/dist.ChiSquareQuantile(0.5+level/2, df))
	e.High = sd * math.Sqrt(df/dist.ChiSquareQuantile(0.5-level/2, df))
	return e
}

func agreementLimit(bias stats.Estimate, offset, sd float64) stats.Estimate {
	e := bias
	e.Value += offset
	e.SE = math.Sqrt(3/float64(bias.N)) * sd
	e.P = math.NaN()
	e.Method = "95 % limit of agreement, normal differences, independent pairs"
	if math.IsNaN(bias.SE) { // too few pairs, or all differences alike
		e.SE = math.NaN()
		return e
	}
	e.SetLimits()
	return e
}
