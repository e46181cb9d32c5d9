package stats

import (
	"fmt"
	"math"
)

// JointTest is a test that several contrasts are all zero.
type JointTest struct {
	F        float64 // scaled so that it is referred to F on DF1, DF2
	DF1, DF2 float64
	P        float64 // NaN where the data cannot carry the test
	Method   string
	Warnings []Warning
}

// Fail clears the test and says why.
func (t *JointTest) Fail(w Warning) JointTest {
	t.F, t.DF2, t.P = math.NaN(), math.NaN(), math.NaN()
	t.Warnings = append(t.Warnings, w)
	return *t
}

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
