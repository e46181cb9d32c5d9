package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
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
		w := bycase.At(weights, i)
		if !(w >= 0 && w <= bycase.Largest) {
			return nil, fmt.Errorf("stats: weight of row %d is %v: expected 0 or more", i, w)
		}
		row := rows[i*p : (i+1)*p]
		if err := CheckRow(i, row); err != nil {
			return nil, err
		}
		total += w
		numeric.Axpy(w, row, mean)
	}
	if !(total > 0) {
		return nil, fmt.Errorf("stats: weights sum to %v", total)
	}
	numeric.Scale(1/total, mean)
	return mean, nil
}

// CheckRow refuses a row that holds a number out of range.
func CheckRow(i int, row []float64) error {
	for j, v := range row {
		if !bycase.InRange(v) {
			return bycase.OutOfRange(fmt.Sprintf("row %d, column %d", i, j), v)
		}
	}
	return nil
}

// AdjustedMeans are the standardised means of two arms and how they compare.
type AdjustedMeans struct {
	First, Second stats.Estimate
	Difference    stats.Estimate // first minus second
	Ratio         stats.Estimate // first over second; P tests a ratio of 1
}

// AdjustedMeans compares two arms, each given by its mean design row (MeanRow).
// The ratio has a delta-method interval on the log scale (Oehlert 1992,
// American Statistician 46:27-29, equation 1), with the degrees of freedom of
// its linear part; it needs both means positive.
func (f *LinearFit) AdjustedMeans(first, second []float64, level float64) AdjustedMeans {
	a, b := f.Contrast(first, level), f.Contrast(second, level)
	out := AdjustedMeans{First: a, Second: b, Difference: f.Contrast(Difference(first, second), level)}
	out.Ratio = f.logRatio(first, second, a.Value, b.Value, level)
	return out
}

// Difference is a - b.
func Difference(a, b []float64) []float64 {
	d := append([]float64(nil), a...)
	numeric.Axpy(-1, b, d)
	return d
}

func (f *LinearFit) logRatio(first, second []float64, a, b, level float64) stats.Estimate {
	if !(a > 0 && b > 0) {
		e := stats.Estimate{Value: math.NaN(), Level: level, N: f.N, Clusters: f.Clusters, Method: ratioMethod}
		if math.IsNaN(a) || math.IsNaN(b) {
			e.NotEstimable(stats.Warning{ID: "not-estimable", Text: "an adjusted mean is not estimable, so their ratio is not", Remedy: "see the warnings of the means"})
			return e
		}
		e.NotEstimable(stats.Warning{ID: "ratio-of-signs", Text: "a ratio needs both adjusted means above zero", Remedy: "read the difference"})
		return e
	}
	// d log(a/b) = first/a - second/b.
	g := append([]float64(nil), first...)
	numeric.Scale(1/a, g)
	numeric.Axpy(-1/b, second, g)
	if f.sameDirection(g) {
		return stats.Estimate{Value: a / b, SE: 0, DF: math.Inf(1), Low: a / b, High: a / b, Level: level, P: 1, N: f.N, Clusters: f.Clusters, Method: ratioMethod}
	}
	return ExpRatio(f.Contrast(g, level), a/b, level)
}

// sameDirection reports a gradient of nothing: the two rows are one.
func (f *LinearFit) sameDirection(g []float64) bool {
	size := 0.0
	for _, v := range g {
		size = math.Max(size, math.Abs(v))
	}
	return size == 0
}

// ExpRatio turns the spread of a linearised log ratio into limits and P.
func ExpRatio(e stats.Estimate, ratio, level float64) stats.Estimate {
	if math.IsNaN(e.Value) { // not estimable, so not a number either
		ratio = e.Value
	}
	e.Value = math.Log(ratio)
	if !math.IsNaN(e.SE) {
		e.Level = level
		e.SetLimits()
		e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
	}
	e.Value, e.Low, e.High = ratio, math.Exp(e.Low), math.Exp(e.High)
	e.Method += "; " + ratioMethod
	return e
}

const ratioMethod = "ratio by the delta method on the log scale (SE of the log)"
