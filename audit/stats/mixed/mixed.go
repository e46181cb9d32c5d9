package mixed

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
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

// MixedFit is a linear mixed model y = Xb + u + e with independent groups:
// u ~ N(0, Random) for each group and e ~ N(0, Residual/weight). Without a fit its
// numbers are NaN.
type MixedFit struct {
	Names      []string
	Dropped    []string
	Coef       []float64 // NaN for dropped columns
	N          int
	Clusters   int // groups
	Rank       int
	Likelihood Likelihood
	Random     float64 // variance of the random intercept
	Residual   float64 // residual variance
	LogLik     float64 // of the criterion, with all constants (as R's lme4)
	Status     stats.Status
	Iterations int // evaluations of the criterion
	Warnings   []stats.Warning

	s  *mixedSums
	at mixedPoint
}

// FitRandomIntercept fits a random intercept for each cluster of the model by
// REML or ML: the criterion with fixed effects and residual variance profiled
// out (Bates, Machler, Bolker & Walker 2015, Journal of Statistical Software
// 67(1), equations 34 and 39) is searched in the ratio of variances, then
// After one pass over the rows the cost depends on
// clusters only. Cluster must be given. An error is a mistake of the caller;
// how the fit ended is in Status.
func FitRandomIntercept(m stats.LinearModel, l Likelihood) (*MixedFit, error) {
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
		Likelihood: l, LogLik: math.NaN(), Random: math.NaN(), Residual: math.NaN(), s: newMixedSums(o, clusters, l),
	}
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, o.Dropped)
	for i := range f.Coef {
		f.Coef[i] = math.NaN()
	}
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
	f.Random, f.Residual = f.at.ratio*f.at.sigma2, f.at.sigma2
	f.LogLik = -f.at.deviance / 2
	step := f.at.gamma
	for a, col := range s.o.Cols {
		f.Coef[col] = s.o.Coef[a] + numeric.Dot(s.o.L[a*s.o.P+a:(a+1)*s.o.P], step[a:])
	}
	if f.Status == stats.Boundary {
		f.warn("boundary", "the variance between cases is at the boundary: zero",
			"read it as no spread between cases that the data can see")
	}
}
