package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// LinearFit is a least-squares fit with its cluster-robust variance.
type LinearFit struct {
	Names    []string  // all columns of the model
	Dropped  []string  // columns that depend on columns before them
	Coef     []float64 // one a column; NaN for dropped ones
	N        int
	Clusters int
	Rank     int
	RSS      float64 // weighted residual sum of squares
	DF       float64 // N - Rank
	Sigma    float64 // sqrt(RSS / DF)
	Variance stats.Variance
	Warnings []stats.Warning

	design *sandwich.Orthonormal
	robust sandwich.Whole
}

// FitLinear fits by weighted least squares (QR decomposition) and prepares the
// cluster-robust variance. Columns that depend on those before them are dropped
// and named. Cost and memory grow linearly with rows. An error is a mistake of
// the caller: shapes that do not fit, numbers that are not finite, weights that
// are not positive. (Golub & Van Loan 2013, Matrix Computations, 4th ed.,
// section 5.3; the variances are those of Variance.)
func FitLinear(m stats.LinearModel, v stats.Variance) (*LinearFit, error) {
	if err := sandwich.CheckDesign(m.Names, m.X, m.Y, m.Cluster); err != nil {
		return nil, err
	}
	if err := sandwich.CheckWeights(len(m.Y), m.Weights); err != nil {
		return nil, err
	}
	if v < stats.CR0 || v > stats.CR3 {
		return nil, fmt.Errorf("stats: unknown variance %v", v)
	}
	arms := sandwich.TwoArms(m.X, len(m.Names)) && (m.InverseVariance || sandwich.Equal(m.Weights))
	root := sandwich.RootsIn(m.Arena, m.Weights)
	var o *sandwich.Orthonormal
	if arms {
		o = sandwich.NewArmsDesign(m.Arena, m.X, m.Y, root)
	} else {
		o = (&sandwich.Orthonormal{Solution: sandwich.Solution{Width: len(m.Names)}, N: len(m.Y), X: m.X, RootW: root, Arena: m.Arena}).Decompose(m.Y)
	}
	clusters := sandwich.NewClustering(len(m.Y), m.Cluster)
	f := &LinearFit{
		Names: m.Names, Coef: make([]float64, len(m.Names)), N: o.N, Clusters: clusters.Count(), Rank: o.P,
		RSS: o.RSS, DF: float64(o.N - o.P), Variance: v, design: o,
	}
	f.Sigma = math.Sqrt(f.RSS / f.DF)
	for i := range f.Coef {
		f.Coef[i] = math.NaN()
	}
	for a, col := range o.Cols {
		f.Coef[col] = o.Coef[a]
	}
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, o.Dropped)
	if f.Clusters < 2 || o.P == 0 {
		return f, nil // no variance between clusters: Contrast says so
	}
	switch {
	case arms:
		f.robust = sandwich.NewArmsSandwich(o, clusters, v)
	case m.InverseVariance || sandwich.Equal(m.Weights):
		f.robust = sandwich.NewPlainSandwich(o, clusters, v)
	default:
		f.robust = sandwich.NewWeightedSandwich(o, clusters, v)
	}
	return f, nil
}

// Cov is the cluster-robust covariance of the coefficients, row-major over
// all columns, NaN for dropped ones and where there are fewer than two
// clusters.
func (f *LinearFit) Cov() []float64 {
	if f.robust == nil {
		return numeric.NaNMatrix(len(f.Names))
	}
	return f.design.Unproject(f.robust.Meat())
}

// ModelCov is the textbook covariance sigma^2 (X'WX)^-1, which takes rows as
// independent. (Seber & Lee 2003, section 3.2.)
func (f *LinearFit) ModelCov() []float64 {
	p := f.Rank
	eye := make([]float64, p*p)
	for i := range p {
		eye[i*p+i] = f.RSS / f.DF
	}
	return f.design.Unproject(eye)
}
