package mixed

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// Likelihood is the criterion a mixed model maximises.
type Likelihood int

// The criteria. REML corrects variance components for the fixed effects and
// is the default choice; ML is for comparing fixed effects.
const (
	REML Likelihood = iota
	ML
)

// String is "REML" or "ML".
func (l Likelihood) String() string {
	switch l {
	case REML:
		return "REML"
	case ML:
		return "ML"
	}
	return fmt.Sprintf("Likelihood(%d)", int(l))
}

// MixedFit is a linear mixed model y = Xb + Zu + e with independent groups:
// u ~ N(0, Random) for each group and e ~ N(0, Residual/weight).
type MixedFit struct {
	Names      []string
	Dropped    []string
	Coef       []float64 // NaN for dropped columns
	N          int
	Clusters   int // groups
	Rank       int
	Likelihood Likelihood
	// Random is the covariance of the random effects, row-major: the variance
	// of the intercept, or with a slope 2 x 2 in the order intercept, slope.
	Random     []float64
	Residual   float64 // residual variance
	LogLik     float64 // of the criterion, with all constants (as R's lme4)
	Status     stats.Status
	Iterations int // evaluations of the criterion
	Warnings   []stats.Warning

	s     *mixedSums
	at    mixedPoint
	d     *mixedDerivatives // at that point, made when first needed
	phi   []float64         // covariance of the fixed effects in coordinates of T
	ids   []int             // id of group g as given
	index map[int]int
}

// FitRandomIntercept fits a random intercept for each cluster of the model by
// REML or ML: the criterion with fixed effects and residual variance profiled
// out (Bates, Machler, Bolker & Walker 2015, Journal of Statistical Software
// 67(1), equations 34 and 39) is searched in the ratio of variances, then
// polished by Newton steps. After one pass over the rows the cost depends on
// clusters only. Cluster must be given. An error is a mistake of the caller;
// how the fit ended is in Status.
func FitRandomIntercept(m stats.LinearModel, l Likelihood) (*MixedFit, error) {
	return fitMixed(m, nil, l)
}

// FitRandomSlope adds to the random intercept of each cluster a random slope on
// the given values (one a row), correlated with the intercept. (Laird & Ware
// 1982, Biometrics 38:963-974, equation 2.1.)
func FitRandomSlope(m stats.LinearModel, slope []float64, l Likelihood) (*MixedFit, error) {
	if len(slope) != len(m.Y) {
		return nil, fmt.Errorf("stats: %d rows but %d values of the random slope", len(m.Y), len(slope))
	}
	for i, v := range slope {
		if !bycase.InRange(v) {
			return nil, bycase.OutOfRange(fmt.Sprintf("random slope of row %d", i), v)
		}
	}
	return fitMixed(m, slope, l)
}

func fitMixed(m stats.LinearModel, slope []float64, l Likelihood) (*MixedFit, error) {
	if err := sandwich.CheckDesign(m.Names, m.X, m.Y, m.Cluster); err != nil {
		return nil, err
	}
	if err := sandwich.CheckWeights(len(m.Y), m.Weights); err != nil {
		return nil, err
	}
	if m.Cluster == nil {
		return nil, fmt.Errorf("stats: a mixed model needs cluster ids")
	}
	if l != REML && l != ML {
		return nil, fmt.Errorf("stats: unknown likelihood %v", l)
	}
	o := sandwich.NewOrthonormal(m.X, m.Y, sandwich.Roots(m.Weights), len(m.Names))
	clusters := sandwich.NewClustering(len(m.Y), m.Cluster)
	f := &MixedFit{
		Names: m.Names, Coef: make([]float64, len(m.Names)), N: o.N, Clusters: clusters.Count(), Rank: o.P,
		Likelihood: l, LogLik: math.NaN(), Residual: math.NaN(), s: newMixedSums(o, clusters, slope, l),
	}
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, o.Dropped)
	for i := range f.Coef {
		f.Coef[i] = math.NaN()
	}
	for g := range f.Clusters {
		f.ids = append(f.ids, m.Cluster[clusters.Row(clusters.Start[g])])
	}
	f.Random = make([]float64, f.s.r*f.s.r)
	if f.s.exact() {
		f.Warnings = append(f.Warnings, sandwich.ExactFit)
		return f, nil
	}
	if !f.s.identified() {
		f.warn("not-identified", "no cluster has enough rows to tell its effect from measurement noise", "fit without the random effect")
		return f, nil
	}
	f.s.search(f)
	f.read()
	return f, nil
}

func (f *MixedFit) warn(id, text, remedy string) {
	f.Warnings = append(f.Warnings, stats.Warning{ID: id, Text: text, Remedy: remedy})
}

// read fills the public fields from the point where the search ended.
func (f *MixedFit) read() {
	s := f.s
	f.Iterations = s.evaluations
	if f.Status == stats.Failed {
		return
	}
	d := s.natural(f.at.d)
	copy(f.Random, d)
	f.Residual = f.at.sigma2
	f.LogLik = -f.at.deviance / 2
	step := f.at.gamma
	for a, col := range s.o.Cols {
		f.Coef[col] = s.o.Coef[a] + numeric.Dot(s.o.L[a*s.o.P+a:(a+1)*s.o.P], step[a:])
	}
	switch f.Status {
	case stats.Boundary:
		f.warn("boundary", "the random effects are at the boundary: a variance of zero or a correlation of one",
			"read it as no spread between cases that the data can see; intervals of such a component start at zero")
	case stats.IterationLimit:
		f.warn("not-converged", "the fit stopped before it converged", "simplify the model")
	}
}

// ICC is the intraclass correlation of the random intercept model: the share of
// the variance that lies between clusters. (Snijders & Bosker 2012, Multilevel
// Analysis, 2nd ed., equation 3.2.)
func (f *MixedFit) ICC() float64 { return f.Random[0] / (f.Random[0] + f.Residual) }
