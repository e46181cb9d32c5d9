package stats

import (
	"fmt"
	"math"
)

// LinearModel is a weighted linear model with rows in independent clusters.
type LinearModel struct {
	Names   []string  // one a column of X, the intercept too
	X       []float64 // row-major, len(Y) rows of len(Names) columns
	Y       []float64
	Weights []float64 // positive; nil = 1
	Cluster []int     // nil = every row its own cluster
	// InverseVariance says that the weights are inverse variances up to a
	// factor. The working covariance behind CR2 and the degrees of freedom is
	// then 1/weight; otherwise it is the identity, whatever the weights.
	InverseVariance bool
	// Arena lends the memory of the fit, which is then good until its Reset; nil:
	// its own.
	Arena *Arena
}

// Variance is a cluster-robust variance estimator.
type Variance int

// The estimators, in the names of Pustejovsky & Tipton (2018, Journal of
// Business & Economic Statistics 36:672-683): CR0 has no correction, CR1 the
// factor m/(m-1) for m clusters, CR2 is unbiased under the working covariance
// (Bell & McCaffrey 2002, Survey Methodology 28:169-181), CR3 approximates
// the jackknife over clusters.
const (
	CR0 Variance = iota
	CR1
	CR2
	CR3
)

// String is CR0 to CR3.
func (v Variance) String() string {
	if v < CR0 || v > CR3 {
		return fmt.Sprintf("Variance(%d)", int(v))
	}
	return "CR" + string(rune('0'+int(v)))
}

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
	Variance Variance
	Warnings []Warning

	design *orthonormal
	robust sandwich
}

// FitLinear fits by weighted least squares (QR decomposition) and prepares the
// cluster-robust variance. Columns that depend on those before them are dropped
// and named. Cost and memory grow linearly with rows. An error is a mistake of
// the caller: shapes that do not fit, numbers that are not finite, weights that
// are not positive. (Golub & Van Loan 2013, Matrix Computations, 4th ed.,
// section 5.3; the variances are those of Variance.)
func FitLinear(m LinearModel, v Variance) (*LinearFit, error) {
	if err := checkDesign(m.Names, m.X, m.Y, m.Cluster); err != nil {
		return nil, err
	}
	if err := checkWeights(len(m.Y), m.Weights); err != nil {
		return nil, err
	}
	if v < CR0 || v > CR3 {
		return nil, fmt.Errorf("stats: unknown variance %v", v)
	}
	arms := twoArms(m.X, len(m.Names)) && (m.InverseVariance || equal(m.Weights))
	root := rootsIn(m.Arena, m.Weights)
	var o *orthonormal
	if arms {
		o = newArmsDesign(m.Arena, m.X, m.Y, root)
	} else {
		o = (&orthonormal{n: len(m.Y), width: len(m.Names), x: m.X, rootW: root, arena: m.Arena}).decompose(m.Y)
	}
	clusters := newClustering(len(m.Y), m.Cluster)
	f := &LinearFit{
		Names: m.Names, Coef: make([]float64, len(m.Names)), N: o.n, Clusters: clusters.count(), Rank: o.p,
		RSS: o.rss, DF: float64(o.n - o.p), Variance: v, design: o,
	}
	f.Sigma = math.Sqrt(f.RSS / f.DF)
	for i := range f.Coef {
		f.Coef[i] = math.NaN()
	}
	for a, col := range o.cols {
		f.Coef[col] = o.coef[a]
	}
	f.Dropped, f.Warnings = droppedColumns(m.Names, o.dropped)
	if f.Clusters < 2 || o.p == 0 {
		return f, nil // no variance between clusters: Contrast says so
	}
	switch {
	case arms:
		f.robust = newArmsSandwich(o, clusters, v)
	case m.InverseVariance || equal(m.Weights):
		f.robust = newPlainSandwich(o, clusters, v)
	default:
		f.robust = newWeightedSandwich(o, clusters, v)
	}
	return f, nil
}

// droppedColumns names the columns left out, with a warning each.
func droppedColumns(names []string, dropped []int) (out []string, warnings []Warning) {
	for _, col := range dropped {
		out = append(out, names[col])
		warnings = append(warnings, Warning{
			"dependent-column", fmt.Sprintf("column %q depends on the columns before it and was dropped", names[col]),
			"check whether a level is empty or a covariate repeats another",
		})
	}
	return out, warnings
}

func equal(w []float64) bool {
	for _, v := range w {
		if v != w[0] {
			return false
		}
	}
	return true
}

// Residual gives y - Xb of row i.
func (f *LinearFit) Residual(i int) float64 { return f.design.resid[i] }

// Cov is the cluster-robust covariance of the coefficients, row-major over
// all columns, NaN for dropped ones and where there are fewer than two
// clusters.
func (f *LinearFit) Cov() []float64 {
	if f.robust == nil {
		return nanMatrix(len(f.Names))
	}
	return f.design.unproject(f.robust.meat())
}

// ModelCov is the textbook covariance sigma^2 (X'WX)^-1, which takes rows as
// independent. (Seber & Lee 2003, section 3.2.)
func (f *LinearFit) ModelCov() []float64 {
	p := f.Rank
	eye := make([]float64, p*p)
	for i := range p {
		eye[i*p+i] = f.RSS / f.DF
	}
	return f.design.unproject(eye)
}
