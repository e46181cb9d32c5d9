package glm

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/robust"
)

// AdjustedMeans of a count model standardise the expected counts themselves:
// the mean over rows of exp(offset + x'b) with every row set to the arm. first
// and second are the design rows of each arm (row-major, all rows), offset
// their common offset (nil = 0). Standard errors by the delta method. (Muller &
// MacLehose 2014, method 1; Oehlert 1992, equation 1.)
func (f *CountFit) AdjustedMeans(first, second, offset []float64, level float64) (robust.AdjustedMeans, error) {
	a, ga, err := f.meanCount(first, offset)
	if err != nil {
		return robust.AdjustedMeans{}, err
	}
	b, gb, err := f.meanCount(second, offset)
	if err != nil {
		return robust.AdjustedMeans{}, err
	}
	delta := func(value float64, gradient []float64) stats.Estimate {
		e := f.Contrast(gradient, level)
		if !math.IsNaN(e.Value) { // else not estimable, and a dropped column is not nought
			e.Value = value
		}
		if !math.IsNaN(e.SE) {
			e.SetLimits()
			e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
		}
		e.Method += "; standardised, delta method"
		return e
	}
	relative := append([]float64(nil), ga...)
	numeric.Scale(1/a, relative)
	numeric.Axpy(-1/b, gb, relative)
	return robust.AdjustedMeans{
		First: delta(a, ga), Second: delta(b, gb), Difference: delta(a-b, robust.Difference(ga, gb)),
		Ratio: robust.ExpRatio(f.Contrast(relative, level), a/b, level),
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
		if err := robust.CheckRow(i, row); err != nil {
			return 0, nil, err
		}
		mu := math.Exp(at0(offset, i)+f.design.Value(row)) / float64(n)
		mean += mu
		numeric.Axpy(mu, row, gradient)
	}
	return mean, gradient, nil
}
