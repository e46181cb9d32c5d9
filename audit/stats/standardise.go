package stats

import (
	"fmt"
	"math"
)

// MeanRow is the weighted mean of design rows (row-major, p columns; weights
// nil = 1). With one column set to a fixed arm in every row it is the contrast
// that gives the adjusted mean of that arm over the rows: marginal
// standardisation (Lane & Nelder 1982, Biometrics 38:613-621; Muller &
// MacLehose 2014, Int J Epidemiol 43:962-970, method 1). Rows are taken as
// they are, so intervals speak of these cases, not of a wider population.
func MeanRow(rows []float64, p int, weights []float64) ([]float64, error) {
	if p <= 0 || len(rows) == 0 || len(rows)%p != 0 {
		return nil, fmt.Errorf("stats: %d numbers do not make rows of %d", len(rows), p)
	}
	n := len(rows) / p
	if weights != nil && len(weights) != n {
		return nil, fmt.Errorf("stats: %d rows but %d weights", n, len(weights))
	}
	mean, total := make([]float64, p), 0.0
	for i := range n {
		w := at(weights, i)
		if !(w >= 0 && w <= largest) {
			return nil, fmt.Errorf("stats: weight of row %d is %v: expected 0 or more", i, w)
		}
		row := rows[i*p : (i+1)*p]
		if err := checkRow(i, row); err != nil {
			return nil, err
		}
		total += w
		axpy(w, row, mean)
	}
	if !(total > 0) {
		return nil, fmt.Errorf("stats: weights sum to %v", total)
	}
	scale(1/total, mean)
	return mean, nil
}

func checkRow(i int, row []float64) error {
	for j, v := range row {
		if !inRange(v) {
			return outOfRange(fmt.Sprintf("row %d, column %d", i, j), v)
		}
	}
	return nil
}

// AdjustedMeans are the standardised means of two arms and how they compare.
type AdjustedMeans struct {
	First, Second Estimate
	Difference    Estimate // first minus second
	Ratio         Estimate // first over second; P tests a ratio of 1
}

// AdjustedMeans compares two arms, each given by its mean design row (MeanRow).
// The ratio has a delta-method interval on the log scale (Oehlert 1992,
// American Statistician 46:27-29, equation 1), with the degrees of freedom of
// its linear part; it needs both means positive.
func (f *LinearFit) AdjustedMeans(first, second []float64, level float64) AdjustedMeans {
	a, b := f.Contrast(first, level), f.Contrast(second, level)
	out := AdjustedMeans{First: a, Second: b, Difference: f.Contrast(difference(first, second), level)}
	out.Ratio = f.logRatio(first, second, a.Value, b.Value, level)
	return out
}

func difference(a, b []float64) []float64 {
	d := append([]float64(nil), a...)
	axpy(-1, b, d)
	return d
}

func (f *LinearFit) logRatio(first, second []float64, a, b, level float64) Estimate {
	if !(a > 0 && b > 0) {
		e := Estimate{Value: math.NaN(), Level: level, N: f.N, Clusters: f.Clusters, Method: ratioMethod}
		if math.IsNaN(a) || math.IsNaN(b) {
			e.notEstimable(Warning{"not-estimable", "an adjusted mean is not estimable, so their ratio is not", "see the warnings of the means"})
			return e
		}
		e.notEstimable(Warning{"ratio-of-signs", "a ratio needs both adjusted means above zero", "read the difference"})
		return e
	}
	// d log(a/b) = first/a - second/b.
	g := append([]float64(nil), first...)
	scale(1/a, g)
	axpy(-1/b, second, g)
	if f.sameDirection(g) {
		return Estimate{Value: a / b, SE: 0, DF: math.Inf(1), Low: a / b, High: a / b, Level: level, P: 1, N: f.N, Clusters: f.Clusters, Method: ratioMethod}
	}
	return expRatio(f.Contrast(g, level), a/b, level)
}

// sameDirection reports a gradient of nothing: the two rows are one.
func (f *LinearFit) sameDirection(g []float64) bool {
	size := 0.0
	for _, v := range g {
		size = math.Max(size, math.Abs(v))
	}
	return size == 0
}

// expRatio turns the spread of a linearised log ratio into limits and P.
func expRatio(e Estimate, ratio, level float64) Estimate {
	if math.IsNaN(e.Value) { // not estimable, so not a number either
		ratio = e.Value
	}
	e.Value = math.Log(ratio)
	if !math.IsNaN(e.SE) {
		e.Level = level
		e.limits()
		e.P = tTwoSided(e.Value/e.SE, e.DF)
	}
	e.Value, e.Low, e.High = ratio, math.Exp(e.Low), math.Exp(e.High)
	e.Method += "; " + ratioMethod
	return e
}

const ratioMethod = "ratio by the delta method on the log scale (SE of the log)"

// AdjustedMeans of a count model standardise the expected counts themselves:
// the mean over rows of exp(offset + x'b) with every row set to the arm. first
// and second are the design rows of each arm (row-major, all rows), offset
// their common offset (nil = 0). Standard errors by the delta method. (Muller &
// MacLehose 2014, method 1; Oehlert 1992, equation 1.)
func (f *CountFit) AdjustedMeans(first, second, offset []float64, level float64) (AdjustedMeans, error) {
	a, ga, err := f.meanCount(first, offset)
	if err != nil {
		return AdjustedMeans{}, err
	}
	b, gb, err := f.meanCount(second, offset)
	if err != nil {
		return AdjustedMeans{}, err
	}
	delta := func(value float64, gradient []float64) Estimate {
		e := f.Contrast(gradient, level)
		if !math.IsNaN(e.Value) { // else not estimable, and a dropped column is not nought
			e.Value = value
		}
		if !math.IsNaN(e.SE) {
			e.limits()
			e.P = tTwoSided(e.Value/e.SE, e.DF)
		}
		e.Method += "; standardised, delta method"
		return e
	}
	relative := append([]float64(nil), ga...)
	scale(1/a, relative)
	axpy(-1/b, gb, relative)
	return AdjustedMeans{
		First: delta(a, ga), Second: delta(b, gb), Difference: delta(a-b, difference(ga, gb)),
		Ratio: expRatio(f.Contrast(relative, level), a/b, level),
	}, nil
}

// meanCount is the mean expected count over rows and its gradient.
func (f *CountFit) meanCount(rows, offset []float64) (mean float64, gradient []float64, err error) {
	p := len(f.Names)
	if len(rows) == 0 || len(rows)%p != 0 || offset != nil && len(offset) != len(rows)/p {
		return 0, nil, fmt.Errorf("stats: %d numbers and %d offsets do not make rows of %d", len(rows), len(offset), p)
	}
	if f.design == nil {
		return math.NaN(), make([]float64, p), nil
	}
	n := len(rows) / p
	gradient = make([]float64, p)
	for i := range n {
		row := rows[i*p : (i+1)*p]
		if err := checkRow(i, row); err != nil {
			return 0, nil, err
		}
		mu := math.Exp(at0(offset, i)+f.design.value(row)) / float64(n)
		mean += mu
		axpy(mu, row, gradient)
	}
	return mean, gradient, nil
}
