package glm

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/sandwich"
)

// CountModel is a log-linear model of counts: log E(Y) = Offset + X b.
type CountModel struct {
	Names   []string
	X       []float64 // row-major, len(Y) rows of len(Names) columns
	Y       []float64 // whole numbers, 0 or more
	Offset  []float64 // log of exposure; nil = 0
	Cluster []int     // nil = every row its own cluster
}

// CountFamily is the distribution of the counts given their mean.
type CountFamily int

// The families. The negative binomial has variance mu + mu^2/theta (NB2,
// Hilbe 2011, Negative Binomial Regression, 2nd ed., equation 8.1).
const (
	Poisson CountFamily = iota
	NegativeBinomial
)

// String names the family in lower case.
func (f CountFamily) String() string {
	switch f {
	case Poisson:
		return "Poisson"
	case NegativeBinomial:
		return "negative binomial"
	}
	return fmt.Sprintf("CountFamily(%d)", int(f))
}

// CountFit is a fitted count model.
type CountFit struct {
	Names    []string
	Dropped  []string
	Coef     []float64 // logs; NaN for dropped columns
	N        int
	Clusters int
	Rank     int
	Family   CountFamily
	Variance stats.Variance
	// Theta of the negative binomial by maximum likelihood and its standard
	// error from the observed information; +Inf and NaN where there is no
	// overdispersion, and for Poisson.
	Theta      float64
	ThetaSE    float64
	LogLik     float64
	Deviance   float64
	Pearson    float64 // sum of squared Pearson residuals / (N - Rank)
	Status     stats.Status
	Iterations int
	Warnings   []stats.Warning

	design *sandwich.Orthonormal
	robust sandwich.Sandwich
	means  []float64
	size   float64 // weighted length of the working outcomes, or of as many ones
}

// FitCount fits by maximum likelihood (iteratively reweighted least squares,
// McCullagh & Nelder 1989, Generalized Linear Models, 2nd ed., 2.5; theta by
// Newton steps on its own score) and prepares the cluster-robust variance on
// the working weights, so that CR2 and its degrees of freedom take the
// family's variance as the working covariance (McCaffrey & Bell 2006,
// Statistics in Medicine 25:4081-4098). An error is a mistake of the caller.
func FitCount(m CountModel, family CountFamily, v stats.Variance) (*CountFit, error) {
	if err := checkCountModel(m); err != nil {
		return nil, err
	}
	if v < stats.CR0 || v > stats.CR3 {
		return nil, fmt.Errorf("stats: unknown variance %v", v)
	}
	if family != Poisson && family != NegativeBinomial {
		return nil, fmt.Errorf("stats: unknown family %v", family)
	}
	clusters := sandwich.NewClustering(len(m.Y), m.Cluster)
	f := &CountFit{
		Names: m.Names, N: len(m.Y), Clusters: clusters.Count(), Family: family, Variance: v,
		Theta: math.Inf(1), ThetaSE: math.NaN(), LogLik: math.NaN(), Coef: make([]float64, len(m.Names)),
	}
	for i := range f.Coef {
		f.Coef[i] = math.NaN()
	}
	it := newCountIteration(m)
	f.Rank = it.o.P
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, it.o.Dropped)
	if !it.start() {
		f.Warnings = append(f.Warnings, stats.Warning{ID: "no-events", Text: "no event was counted", Remedy: "report the upper limit of a zero count instead of a rate ratio"})
		return f, nil
	}
	it.run(f)
	f.finish(it, clusters)
	return f, nil
}

func checkCountModel(m CountModel) error {
	if err := sandwich.CheckDesign(m.Names, m.X, m.Y, m.Cluster); err != nil {
		return err
	}
	for i, y := range m.Y {
		if y < 0 || y != math.Trunc(y) || y > maxCount {
			return fmt.Errorf("stats: count of row %d is %v: expected a whole number from 0 to %d", i, y, int(maxCount))
		}
	}
	if m.Offset == nil {
		return nil
	}
	if len(m.Offset) != len(m.Y) {
		return fmt.Errorf("stats: %d rows but %d offsets", len(m.Y), len(m.Offset))
	}
	for i, v := range m.Offset {
		if !(math.Abs(v) <= largestOffset) {
			return fmt.Errorf("stats: offset of row %d is not the logarithm of a positive exposure", i)
		}
	}
	return nil
}

// largestOffset keeps means and their squares finite.
const largestOffset = 150

// maxCount bounds the tables that are as long as the largest count.
const maxCount = 1e7

// finish takes one weighted least-squares step from the converged means,
// which changes nothing in the coefficients and gives their covariance.
func (f *CountFit) finish(it *countIteration, clusters sandwich.Clustering) {
	n, p := f.N, it.width
	z, root := make([]float64, n), make([]float64, n)
	chi2, total := 0.0, 0.0
	for i, mu := range it.mu {
		w := it.weight(mu)
		r := (it.y[i] - mu) / mu
		z[i], root[i] = it.eta[i]-at0(it.offset, i)+r, math.Sqrt(w)
		chi2 += w * r * r
		total += w
	}
	f.Pearson = chi2 / float64(n-f.Rank)
	f.LogLik, f.Deviance = it.logLik(), it.deviance()
	f.means = it.mu
	f.design = sandwich.NewOrthonormal(it.x, z, root, p)
	f.size = max(f.design.Size(), math.Sqrt(total))
	for a, col := range f.design.Cols {
		f.Coef[col] = f.design.Coef[a]
	}
	if f.Clusters >= 2 {
		f.robust = sandwich.NewPlainSandwich(f.design, clusters, f.Variance)
	}
	if f.Status == stats.Diverged {
		f.Warnings = append(f.Warnings, stats.Warning{
			ID: "no-events", Text: "a group has no event: its rate ratio has no finite estimate",
			Remedy: "report the counts and the upper limit of a zero count, or join groups",
		})
	}
	if f.Status == stats.IterationLimit {
		f.Warnings = append(f.Warnings, stats.Warning{ID: "not-converged", Text: "the fit stopped before it converged", Remedy: "simplify the model"})
	}
}

func at0(b []float64, i int) float64 {
	if b == nil {
		return 0
	}
	return b[i]
}

// Contrast estimates c'b on the log scale with the cluster-robust standard
// error and Satterthwaite's degrees of freedom. Panics where len(c) is not the
// number of columns or level is outside (0, 1). Source: see FitCount (McCaffrey
// & Bell 2006).
func (f *CountFit) Contrast(c []float64, level float64) stats.Estimate {
	e, l, ok := f.start(c, level)
	e.Method = fmt.Sprintf("%s regression, log scale, %s variance by case, t on Satterthwaite df", f.Family, f.Variance)
	switch {
	case !ok:
	case f.robust == nil:
		e.NotEstimable(stats.OneCluster)
	default:
		sandwich.FinishRobust(&e, f.robust, l, f.size)
	}
	return e
}

// RateRatio is exp(c'b) with limits exponentiated from the log scale. SE stays
// on the log scale; P tests a ratio of 1. With an offset of log exposure it is
// a ratio of rates (McCullagh & Nelder 1989, section 6.2).
func (f *CountFit) RateRatio(c []float64, level float64) stats.Estimate {
	e := f.Contrast(c, level)
	e.Value, e.Low, e.High = math.Exp(e.Value), math.Exp(e.Low), math.Exp(e.High)
	e.Method = fmt.Sprintf("rate ratio, %s regression, %s variance by case, t on Satterthwaite df (SE of the log)", f.Family, f.Variance)
	return e
}

func (f *CountFit) start(c []float64, level float64) (e stats.Estimate, l []float64, ok bool) {
	if f.design == nil || f.Status == stats.Failed {
		e = stats.Estimate{Value: math.NaN(), Level: level, N: f.N, Clusters: f.Clusters}
		e.NotEstimable(stats.NoData)
		e.Warnings = append(e.Warnings[:0], f.Warnings...)
		return e, nil, false
	}
	e, l, ok = sandwich.StartContrast(&f.design.Solution, f.N, f.Clusters, c, level)
	if ok && !f.Status.Usable() {
		e.Value = math.NaN()
		e.NotEstimable(f.Warnings[len(f.Warnings)-1])
		ok = false
	}
	return e, l, ok
}
