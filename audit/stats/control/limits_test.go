package control

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/statstest"
)

// Small counts are said, and under exact limits need not be.
func TestSmallCountsAreSaid(t *testing.T) {
	x, n := []int{1, 0, 2, 1}, []int{20, 20, 20, 20}
	for limits, said := range map[ChartLimits]bool{StandardLimits: true, ExactLimits: false} {
		c, err := PChart(x, n, 1, limits)
		require.NoError(t, err)
		u, err := UChart(x, []float64{1, 1, 1, 1}, 1, limits)
		require.NoError(t, err)
		for _, w := range [][]stats.Warning{c.Warnings, u.Warnings} {
			if said {
				assert.Contains(t, statstest.WarningIDs(w), "small-counts")
			} else {
				assert.NotContains(t, statstest.WarningIDs(w), "small-counts")
			}
		}
	}
}

// A design effect divides the numbers a chart is drawn from, under either kind of
// limits: twice the counts with an effect of two are the chart of the counts.
func TestDesignEffectOfCharts(t *testing.T) {
	x, n, twoX, twoN := []int{3, 9, 4, 5}, []int{20, 30, 24, 22}, []int{6, 18, 8, 10}, []int{40, 60, 48, 44}
	one, two := []float64{20, 30, 24, 22}, []float64{40, 60, 48, 44}
	for _, limits := range []ChartLimits{StandardLimits, ExactLimits} {
		a, err := PChart(x, n, 1, limits)
		require.NoError(t, err)
		b, err := PChart(twoX, twoN, 2, limits)
		require.NoError(t, err)
		c, err := UChart(x, one, 1, limits)
		require.NoError(t, err)
		d, err := UChart(twoX, two, 2, limits)
		require.NoError(t, err)
		for i := range x {
			for _, p := range [][2]ChartPoint{{a.Points[i], b.Points[i]}, {c.Points[i], d.Points[i]}} {
				for k, want := range []float64{p[0].Low, p[0].High, p[0].Sigma, p[0].Z} {
					assert.InDelta(t, want, []float64{p[1].Low, p[1].High, p[1].Sigma, p[1].Z}[k], 1e-12, limits)
				}
			}
		}
	}
}

// Just beyond 2 sigma counts, at either place; just within does not.
func TestTwoOfThreeAtItsEdge(t *testing.T) {
	assert.Equal(t, []RunSignal{{TwoOf3Beyond, 0, 2}}, RunRules([]float64{2.001, 0, 2.001}))
	assert.Empty(t, RunRules([]float64{2, 0, 2.001}))
	assert.Empty(t, RunRules([]float64{2.001, 0, 2}))
}

// Montgomery 2009: three-sigma limits of a p chart at .1 with 50 a point before
// they are clipped, -.0272792 and .2272792; Spiegelhalter's limits at .1 with 20,
// -.0496 and -.0397 before. By formula, R 4.2.2.
func TestLimitsBeforeTheyAreClipped(t *testing.T) {
	x, n := make([]int, 20), make([]int, 20)
	for i := range x {
		x[i], n[i] = 5, 50
	}
	c, err := PChart(x, n, 1, StandardLimits)
	require.NoError(t, err)
	p := c.Points[0]
	assert.InDelta(t, -.0272792, p.Centre-3*p.Sigma, 5e-8)
	assert.InDelta(t, .2272792, p.High, 5e-8)
	assert.Zero(t, p.Low)
	for q, want := range map[float64]float64{.001: -.0496, .025: -.0397} {
		r := dist.BinomialQuantile(q, 20, .1)
		y := (float64(r) - (dist.BinomialCDF(r, 20, .1)-q)/dist.BinomialProbability(r, 20, .1)) / 20
		assert.InDelta(t, want, y, 5e-5)
	}
}
