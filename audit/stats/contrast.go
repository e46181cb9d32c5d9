package stats

import (
	"fmt"
	"math"
)

// fewDF is where t limits with Satterthwaite degrees of freedom stop being
// trustworthy (Tipton 2015, Psychological Methods 20:375-393).
const fewDF = 4

// Contrast estimates c'b, c over all columns of the model, with the
// cluster-robust standard error and Satterthwaite's degrees of freedom for
// that very contrast (Bell & McCaffrey 2002, equation 4.2, extended by
// Pustejovsky & Tipton 2018), and tests it against 0. A contrast the data
// cannot estimate has NaN limits and a warning: one that is not in the row space
// of the design is not estimable, whichever of the dependent columns was
// dropped; no dropped coefficient is taken to be zero. Panics where len(c) is not the
// number of columns or level is outside (0, 1).
func (f *LinearFit) Contrast(c []float64, level float64) Estimate {
	e, l, ok := f.start(c, level)
	e.Method = fmt.Sprintf("least squares, %s variance by case, t on Satterthwaite df", f.Variance)
	if !ok {
		return e
	}
	if f.robust == nil {
		e.notEstimable(oneCluster)
		return e
	}
	finishRobust(&e, f.robust, l, f.design.size())
	return e
}

// exactFit says that the fit leaves nothing but rounding.
var exactFit = Warning{
	"no-spread", "the fit leaves no spread where this is estimated: its residuals are zero",
	"check the values: repeated or derived columns fit exactly",
}

// leastSE is what rounding alone makes of the standard error of an estimate with
// coordinates l, of outcomes whose weighted length is size.
func leastSE(l []float64, size float64) float64 { return rounding / 10 * size * math.Sqrt(dot(l, l)) }

// finishRobust fills standard error, degrees of freedom, limits and P of an
// estimate with coordinates l.
func finishRobust(e *Estimate, s sandwich, l []float64, size float64) {
	e.SE = math.Sqrt(math.Max(0, quadratic(s.meat(), l)))
	m := s.moments([][]float64{l})
	// What the variance estimator expects under the working covariance falls
	// to nothing where a case alone determines the contrast.
	seen := m.mean[0] / s.working(l)
	switch least := leastSE(l, size); {
	case seen > 1e-8 && e.SE <= least:
		e.notEstimable(exactFit)
		return
	case !(seen > 1e-8 && e.SE > least):
		e.notEstimable(Warning{"one-case-determines", "a single case determines this comparison: its spread between cases cannot be seen", "add cases to the smaller group"})
		return
	}
	e.DF = m.satterthwaite()
	e.limits()
	e.P = tTwoSided(e.Value/e.SE, e.DF)
	e.warnFewClusters()
	if e.DF < fewDF {
		e.warn("few-df", fmt.Sprintf("only %.1f degrees of freedom (fewer than %d): limits and P are rough", e.DF, fewDF),
			"add cases to the smaller group, or read the interval as a guide only")
	}
}

// start fills what every contrast shares; ok is false where c'b is not
// estimable.
func (f *LinearFit) start(c []float64, level float64) (e Estimate, l []float64, ok bool) {
	return startContrast(f.design, f.N, f.Clusters, c, level)
}

func startContrast(o *orthonormal, n, clusters int, c []float64, level float64) (e Estimate, l []float64, ok bool) {
	if len(c) != o.width {
		panic(fmt.Sprintf("stats: contrast of %d numbers for %d columns", len(c), o.width))
	}
	if err := checkLevel(level); err != nil {
		panic(err.Error())
	}
	e = Estimate{Value: o.value(c), Level: level, N: n, Clusters: clusters}
	l, ok = o.coordinates(c)
	if !ok {
		e.Value = math.NaN()
		e.notEstimable(Warning{"not-estimable", "the data cannot separate this comparison from another column", "drop one of the columns, or collect cases where they differ"})
		return e, nil, false
	}
	if math.IsNaN(dot(l, l)) {
		e.Value = math.NaN()
		e.notEstimable(Warning{"bad-contrast", "the comparison holds a number that is not finite", "correct the comparison"})
		return e, nil, false
	}
	if dot(l, l) == 0 {
		e.Value = 0
		e.notEstimable(Warning{"empty-contrast", "the comparison is empty", "compare two different rows"})
		return e, nil, false
	}
	return e, l, true
}

// quadratic is l'Al.
func quadratic(a, l []float64) (s float64) {
	p := len(l)
	for i, v := range l {
		s += v * dot(a[i*p:(i+1)*p], l)
	}
	return s
}

// ModelContrast estimates c'b with the textbook standard error, taking rows as
// independent, t on N - Rank degrees of freedom. It is for measurements that
// are not clustered, and to show beside the clustered interval what clustering
// costs. (Seber & Lee 2003, Linear Regression Analysis, 2nd ed., section 3.2.)
func (f *LinearFit) ModelContrast(c []float64, level float64) Estimate {
	e, l, ok := f.start(c, level)
	e.Clusters = f.N
	e.Method = "least squares, rows taken as independent, t on n - p df"
	if !ok {
		return e
	}
	if f.DF < 1 {
		e.notEstimable(Warning{"no-df", "as many columns as rows: no residual is left to judge by", "drop columns, or add rows"})
		return e
	}
	e.SE, e.DF = f.Sigma*math.Sqrt(dot(l, l)), f.DF
	if !(e.SE > leastSE(l, f.design.size())) {
		e.notEstimable(exactFit)
		return e
	}
	e.limits()
	e.P = tTwoSided(e.Value/e.SE, e.DF)
	return e
}
