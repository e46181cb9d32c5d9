package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/control"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/resample"
	"shortfall/audit/stats/robust"
)

// P of a ratio of adjusted means is that of its logarithm: test and interval agree,
// for linear and count models.
func TestRatioOfAdjustedMeansAgreesWithItsInterval(t *testing.T) {
	m := statstest.LawModel(5)
	counts := make([]float64, len(m.Y))
	var first, second []float64
	for i, y := range m.Y {
		counts[i] = math.Round(y)
		first, second = append(first, 1, 1, m.X[3*i+2]), append(second, 1, 0, m.X[3*i+2])
	}
	a, err := robust.MeanRow(first, 3, nil)
	require.NoError(t, err)
	b, err := robust.MeanRow(second, 3, nil)
	require.NoError(t, err)
	linear, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	count, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, glm.NegativeBinomial, stats.CR2)
	require.NoError(t, err)
	for _, level := range []float64{.3, .6, .8, .9, .95, .99} {
		c, err := count.AdjustedMeans(first, second, nil, level)
		require.NoError(t, err)
		for _, e := range []robust.AdjustedMeans{linear.AdjustedMeans(a, b, level), c} {
			assert.InDelta(t, dist.TTwoSided(math.Log(e.Ratio.Value)/e.Ratio.SE, e.Ratio.DF), e.Ratio.P, 1e-12)
			assert.Equal(t, e.Ratio.P < 1-level, e.Ratio.Low > 1 || e.Ratio.High < 1)
			assert.Equal(t, e.Difference.P < 1-level, e.Difference.Low > 0 || e.Difference.High < 0)
		}
	}
}

// Two things suffice for the correlations, and winsorising takes 0 to below half.
func TestLeastOfReadingsAndWinsorising(t *testing.T) {
	r, err := agree.IntraclassCorrelations([][]float64{{1, 2, 1}, {4, 6, 5}}, .95)
	require.NoError(t, err)
	assert.Greater(t, r.Agreement.High, r.Agreement.Value)
	r, err = agree.IntraclassCorrelations([][]float64{{1, 2, 1}}, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-variation"}, statstest.WarningIDs(r.Agreement.Warnings))
	same, err := agree.IntraclassCorrelations([][]float64{{1, 1}, {4, 4}, {5, 5}}, .95)
	require.NoError(t, err)
	assert.Equal(t, 1.0, same.Agreement.Value)
	assert.Equal(t, []string{"no-spread"}, statstest.WarningIDs(same.Agreement.Warnings))
	y, v := []float64{1, 2, 9}, []float64{1, 1, 1}
	for _, bad := range []float64{-.01, .5, math.NaN()} {
		_, err = control.Overdispersion(y, v, 2, bad)
		require.ErrorContains(t, err, "winsorised share")
	}
	_, err = control.Overdispersion(y, v, math.NaN(), .1)
	require.Error(t, err)
	_, err = control.Overdispersion(y, v, 2, 0)
	require.NoError(t, err)
}

// A denominator whose cases nearly cancel: the resamples do not lie about the
// estimate, and the interval says that it leaves it out.
func TestIntervalThatLeavesOutItsEstimate(t *testing.T) {
	num := []float64{1, 2, 1, 3, 1, 2, 1, 1, 2, 1, 3, 1}
	den := []float64{1, -1, 2, -1.5, 1, -2, .5, -1, 1.2, -.4, .8, -.5}
	r, err := robust.BootstrapRatioOfSums(num, den, nil, .5, resample.DefaultBootstrap())
	require.NoError(t, err)
	require.True(t, r.Value < r.Low || r.Value > r.High)
	assert.Subset(t, statstest.WarningIDs(r.Warnings), []string{"estimate-outside", "uncertain-denominator"})
	inside, err := robust.BootstrapRatioOfSums(statstest.CityX, statstest.CityU, nil, .5, resample.DefaultBootstrap())
	require.NoError(t, err)
	assert.NotContains(t, statstest.WarningIDs(inside.Warnings), "estimate-outside")
	o, err := confound.Overlap([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, []float64{8.5, 9.5, 11, 12, 13, 14, 15, 16, 17, 18}, nil, nil, confound.DefaultOverlap())
	require.NoError(t, err)
	assert.Equal(t, "only 10 % of an arm lies in the common range (least 50 %)", o.Reason)
}
