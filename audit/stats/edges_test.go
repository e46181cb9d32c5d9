package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/mixed"
	"shortfall/audit/stats/robust"
)

// Cases that all agree leave no spread: no interval of no width is given, and no
// P of rounding errors, whatever the method and the constant.
func TestNoSpreadIsSaid(t *testing.T) {
	const n = 24
	ones, cluster := make([]float64, n), make([]int, n)
	for i := range ones {
		ones[i], cluster[i] = 1, i/2
	}
	for _, value := range []float64{0, .1, 1, -7e5} {
		y, arm := make([]float64, n), make([]float64, 0, 2*n)
		for i := range y {
			y[i] = value
			arm = append(arm, 1, float64(i%2))
		}
		said := func(e stats.Estimate, err error) {
			t.Helper()
			require.NoError(t, err)
			assert.True(t, math.IsNaN(e.Low) && math.IsNaN(e.High) && math.IsNaN(e.P), "%s of %v: %+v", e.Method, value, e)
			assert.Contains(t, statstest.WarningIDs(e.Warnings), "no-spread", "%s of %v", e.Method, value)
		}
		said(robust.RatioOfSums(y, ones, cluster, .95))
		said(robust.RatioOfSumsLinearised(y, ones, cluster, .95))
		said(robust.ClusteredMean(y, cluster, .95))
		f, err := robust.RatioOfSumsFieller(y, ones, cluster, .95)
		said(f.Estimate, err)
		f, err = robust.Fieller(value, 2, 0, 0, 0, 9, .95)
		said(f.Estimate, err)
		a, err := agree.Agreement(y, make([]float64, n), .95)
		said(a.Bias, err)
		said(a.MethodOfMoments, err)
		said(a.UpperLimit, err)
		assert.Contains(t, statstest.WarningIDs(a.Warnings), "no-spread")
		for _, weighted := range []bool{false, true} {
			for v := stats.CR0; v <= stats.CR3; v++ {
				m := stats.LinearModel{Names: []string{"1", "arm"}, X: arm, Y: y, Cluster: cluster}
				if weighted {
					for i := range y {
						m.Weights = append(m.Weights, 1+float64(i%3))
					}
				}
				g, err := robust.FitLinear(m, v)
				require.NoError(t, err)
				for j := range 2 {
					said(g.Contrast(statstest.Unit(2, j), .95), nil)
				}
			}
		}
		h, err := mixed.FitRandomIntercept(stats.LinearModel{Names: []string{"1", "arm"}, X: arm, Y: y, Cluster: cluster}, mixed.REML)
		require.NoError(t, err)
		assert.Equal(t, stats.Failed, h.Status)
	}
}

// Numbers no measurement has are refused by the row they are in.
func TestHugeNumbersAreRefused(t *testing.T) {
	_, err := robust.ClusteredMean([]float64{1, 2e60}, nil, .95)
	require.ErrorContains(t, err, "value 1 is beyond 1e+60")
	_, err = robust.ClusteredMean([]float64{1, math.Inf(-1)}, nil, .95)
	require.ErrorContains(t, err, "value 1 is not a finite number")
	m := stats.LinearModel{Names: []string{"1"}, X: []float64{1, 1, 1}, Y: []float64{1, 2, -1e61}, Cluster: []int{1, 1, 2}}
	_, err = robust.FitLinear(m, stats.CR2)
	require.ErrorContains(t, err, "outcome of row 2 is beyond")
	m.Y[2], m.X[1] = 3, 1e61
	_, err = robust.FitLinear(m, stats.CR2)
	require.ErrorContains(t, err, `row 1, column "1" is beyond`)
	m.X[1] = 1
	m.Weights = []float64{1, 1, 1e61}
	_, err = robust.FitLinear(m, stats.CR2)
	require.ErrorContains(t, err, "weight of row 2")
	_, err = glm.FitCount(glm.CountModel{Names: []string{"1"}, X: []float64{1}, Y: []float64{1}, Offset: []float64{200}}, glm.Poisson, stats.CR2)
	require.ErrorContains(t, err, "offset of row 0")
	_, err = robust.Fieller(math.Inf(1), 1, 1, 1, 0, 5, .95)
	require.Error(t, err)
	zero, err := robust.Fieller(1, 0, 1, 1, 0, 5, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(zero.Value))
	assert.Equal(t, []string{"not-estimable"}, statstest.WarningIDs(zero.Warnings))
}
