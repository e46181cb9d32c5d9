package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/sandwich"
)

// PredictionFit is a straight line of y on x whose scatter grows with a power
// of x, for bands that hold single new observations.
type PredictionFit struct {
	Intercept, Slope float64
	// Power is k in SD(y | x) = Sigma x^k, chosen by likelihood among 0, 1/4,
	// 1/2, 3/4 and 1.
	Power float64
	Sigma float64

	v         [4]float64 // covariance of the line
	x, y      []float64
	groups    [][]int
	clustered bool
	exact     bool // nothing but rounding is left about the line
}

// powers tried for the growth of the scatter.
var powers = [...]float64{0, 0.25, 0.5, 0.75, 1}

// FitPrediction fits the line by weighted least squares with weights x^-2k; k
// maximises the normal likelihood (power variance function of Pinheiro & Bates
// 2000, Mixed-Effects Models in S and S-PLUS, section 5.2.1). x must be
// positive. cluster nil: every row its own cluster.
func FitPrediction(x, y []float64, cluster []int) (*PredictionFit, error) {
	if err := bycase.CheckClustered(len(x), cluster, x, y); err != nil {
		return nil, err
	}
	var logs float64
	design := make([]float64, 0, 2*len(x))
	for i, v := range x {
		if !(v > 0) {
			return nil, fmt.Errorf("stats: x of row %d is not positive", i)
		}
		logs += math.Log(v)
		design = append(design, 1, v)
	}
	f := &PredictionFit{x: x, y: y, groups: bycase.Rows(len(x), cluster), clustered: cluster != nil}
	best, n := math.Inf(-1), float64(len(x))
	var line *LinearFit
	for _, k := range powers {
		w := make([]float64, len(x))
		for i, v := range x {
			w[i] = math.Pow(v, -2*k)
		}
		fit, err := FitLinear(stats.LinearModel{
			Names: []string{"intercept", "slope"}, X: design, Y: y, Weights: w, Cluster: cluster, InverseVariance: true,
		}, stats.CR2)
		if err != nil {
			return nil, err
		}
		if ll := -n/2*math.Log(fit.RSS/n) - k*logs; line == nil || ll > best {
			best, line, f.Power = ll, fit, k
		}
	}
	f.Intercept, f.Slope, f.Sigma = line.Coef[0], line.Coef[1], line.Sigma
	f.exact = line.Sigma <= sandwich.LeastSE([]float64{1}, line.design.Size())
	v := line.ModelCov()
	if f.clustered {
		v = line.Cov()
	}
	copy(f.v[:], v)
	return f, nil
}

const bandMethod = "regression of achieved on planned, band for one new observation"

// At gives the expected y at x0 (Value) and the band that holds a share of new
// observations there (Low, High; Level is the share). Its variance is that of
// one observation plus that of the line,
//
//	Sigma^2 x0^2k + c'Vc,  c = (1, x0)
//
// (Seber & Lee 2003, Linear Regression Analysis, section 5.3). Without
// clusters V is the model's and the band is the textbook one on n-2 df; with
// clusters V is CR2 and the band is on clusters-2 df, as for one new
// observation of a new cluster.
func (f *PredictionFit) At(x0, share float64) stats.Estimate {
	if !(x0 > 0 && x0 <= bycase.Largest && share > 0 && share < 1) {
		e := stats.Estimate{Value: math.NaN(), Level: share, N: len(f.x), Clusters: len(f.groups), Method: bandMethod}
		e.NotEstimable(stats.Warning{ID: "bad-place", Text: "a band needs an amount above 0 and a share between 0 and 1", Remedy: "correct the amount or the share"})
		return e
	}
	e := stats.Estimate{
		Value: f.Intercept + f.Slope*x0, SE: f.bandSE(x0), DF: float64(len(f.groups) - 2), Level: share, P: math.NaN(),
		N: len(f.x), Clusters: len(f.groups), Method: bandMethod,
	}
	if !(e.DF >= 1) || math.IsNaN(e.SE) {
		e.NotEstimable(stats.Warning{ID: "too-few-for-band", Text: "too few cases for a band", Remedy: "record at least three cases with plans of different size"})
		return e
	}
	if f.exact {
		e.NotEstimable(sandwich.ExactFit)
		return e
	}
	e.SetLimits()
	return e
}

func (f *PredictionFit) bandSE(x0 float64) float64 {
	spread := f.Sigma * math.Pow(x0, f.Power)
	return math.Sqrt(spread*spread + f.v[0] + 2*x0*f.v[1] + x0*x0*f.v[3])
}

// HeldOut counts the rows inside the band that a fit without their own cluster
// gives (line refitted by taking the cluster's sums away; spread and its
// degrees of freedom as in the full fit), and the rows so tested:
// cross-validation by cluster (Stone 1974, J R Stat Soc B 36:111-147).
func (f *PredictionFit) HeldOut(share float64) (inside, total int) {
	if len(f.groups) < 4 || !(share > 0 && share < 1) {
		return 0, 0
	}
	t := dist.TQuantile(0.5+share/2, float64(len(f.groups)-2))
	var all lineSums
	for i := range f.x {
		all.add(f.x[i], f.y[i], f.Power, 1)
	}
	for _, rows := range f.groups {
		rest := all
		for _, i := range rows {
			rest.add(f.x[i], f.y[i], f.Power, -1)
		}
		a, b := rest.line()
		if math.IsNaN(a) || math.IsNaN(b) {
			continue
		}
		for _, i := range rows {
			total++
			if math.Abs(f.y[i]-a-b*f.x[i]) <= t*f.bandSE(f.x[i]) {
				inside++
			}
		}
	}
	return inside, total
}

// lineSums are the weighted sums of a straight-line fit.
type lineSums struct{ w, wx, wy, wxx, wxy float64 }

func (s *lineSums) add(x, y, power, sign float64) {
	w := sign * math.Pow(x, -2*power)
	s.w += w
	s.wx += w * x
	s.wy += w * y
	s.wxx += w * x * x
	s.wxy += w * x * y
}

// line solves the normal equations; NaN where x does not vary.
func (s *lineSums) line() (a, b float64) {
	det := s.w*s.wxx - s.wx*s.wx
	if !(det > 1e-12*s.w*s.wxx) {
		return math.NaN(), math.NaN()
	}
	b = (s.w*s.wxy - s.wx*s.wy) / det
	return (s.wy - b*s.wx) / s.w, b
}
