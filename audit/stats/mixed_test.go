package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/mixed"
)

func fitReference(t *testing.T, r *statstest.ModelReference) *mixed.MixedFit {
	t.Helper()
	l := mixed.ML
	if r.Reml {
		l = mixed.REML
	}
	f, err := mixed.FitRandomIntercept(r.Linear(), l)
	require.NoError(t, err)
	return f
}

// Random intercepts against R's lme4, which stops its search early, so that its
// variances carry some 1e-5.
func TestMixedAgainstR(t *testing.T) {
	statstest.EachReference(t, "mixed", 16, func(t *testing.T, r *statstest.ModelReference) {
		f := fitReference(t, r)
		if r.Singular {
			assert.Equal(t, stats.Boundary, f.Status)
			assert.Equal(t, "boundary", f.Warnings[0].ID)
			assert.Zero(t, f.Random)
		} else {
			assert.Equal(t, stats.Converged, f.Status)
			statstest.Near(t, r.Random[0], f.Random, 4e-4, 0, "random intercept")
		}
		assert.GreaterOrEqual(t, f.LogLik, r.LogLik[0]-1e-7*math.Abs(r.LogLik[0]), "no worse a maximum than R's")
		statstest.Near(t, r.LogLik[0], f.LogLik, 1e-8, 1, "log likelihood")
		statstest.Near(t, r.Residual[0], f.Residual, 1e-4, 0, "residual variance")
		for j, name := range r.Names {
			statstest.Near(t, r.Coef[j], f.Coef[j], 1e-6, 1e-3, name)
		}
	})
}

// The closed form of balanced growth data: SSW = 151.8423 on 81 rows gives the
// residual variance by maximum likelihood.
func TestGrowthMixed(t *testing.T) {
	f := fitReference(t, statstest.Reference(t, "mixed/orthodont-product-ml"))
	statstest.Near(t, 1.87459666, f.Residual, 1e-7, 0)
	statstest.Near(t, 3.03056169, f.Random, 1e-7, 0)
	statstest.Near(t, -214.319529, f.LogLik, 1e-8, 0)
}

// Balanced one-way data have closed forms: the restricted maximum is the analysis
// of variance (Searle, Casella & McCulloch 1992, Variance Components, 3.6).
func TestBalancedClosedForm(t *testing.T) {
	r := statstest.Reference(t, "mixed/dyestuff")
	f := fitReference(t, r)
	const groups, each = 6, 5
	mean, sums := 0.0, make([]float64, groups)
	for i, y := range r.Y {
		mean += y / (groups * each)
		sums[r.Cluster[i]-1] += y
	}
	var ssb, ssw float64
	for i, y := range r.Y {
		m := sums[r.Cluster[i]-1] / each
		ssw += (y - m) * (y - m)
	}
	for _, s := range sums {
		ssb += each * (s/each - mean) * (s/each - mean)
	}
	msb, msw := ssb/(groups-1), ssw/(groups*(each-1))
	statstest.Near(t, msw, f.Residual, 1e-7, 0)
	statstest.Near(t, (msb-msw)/each, f.Random, 1e-6, 0)
	statstest.Near(t, mean, f.Coef[0], 1e-12, 0)
}

func TestMixedRefusesBadInput(t *testing.T) {
	r := statstest.Reference(t, "mixed/rail")
	m := r.Linear()
	m.Cluster = nil
	_, err := mixed.FitRandomIntercept(m, mixed.REML)
	assert.ErrorContains(t, err, "cluster ids")
	_, err = mixed.FitRandomIntercept(r.Linear(), mixed.Likelihood(5))
	assert.ErrorContains(t, err, "Likelihood(5)")
	m = r.Linear()
	m.Weights = []float64{1}
	_, err = mixed.FitRandomIntercept(m, mixed.REML)
	assert.ErrorContains(t, err, "weights")
	m = r.Linear()
	m.Cluster = make([]int, len(m.Y))
	for i := range m.Cluster {
		m.Cluster[i] = i
	}
	f, err := mixed.FitRandomIntercept(m, mixed.REML)
	require.NoError(t, err)
	assert.Equal(t, stats.Failed, f.Status)
	assert.True(t, math.IsNaN(f.Coef[0]) && math.IsNaN(f.Random) && math.IsNaN(f.Residual))
}

// Rows that agree within their case: the likelihood of a mixed model has no
// maximum, and the fit says so. Rows that the columns fit exactly leave nothing.
func TestMixedWithoutResidual(t *testing.T) {
	m := stats.LinearModel{Names: []string{"1", "x"}}
	for i := range 30 {
		c := i / 3
		m.X, m.Cluster = append(m.X, 1, float64(i%5)), append(m.Cluster, c)
		m.Y = append(m.Y, .1+float64(c*c%7))
	}
	f, err := mixed.FitRandomIntercept(m, mixed.REML)
	require.NoError(t, err)
	assert.Equal(t, stats.Failed, f.Status)
	assert.Equal(t, []string{"no-residual"}, statstest.WarningIDs(f.Warnings))
	assert.True(t, math.IsNaN(f.Coef[0]))
	for i := range m.Y {
		m.Y[i] = .1 + .3*m.X[2*i+1]
	}
	f, err = mixed.FitRandomIntercept(m, mixed.REML)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-spread"}, statstest.WarningIDs(f.Warnings))
}
