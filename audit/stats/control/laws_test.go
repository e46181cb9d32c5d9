package control

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Charts: counting failures in place of successes mirrors a p chart, exposure
// in another unit scales a u chart, values in another unit scale both charts
// of X-bar and S; the signals are the same.
func TestLawsOfCharts(t *testing.T) {
	x, n := []int{3, 9, 4, 5, 2, 12, 6, 5}, []int{20, 31, 24, 22, 20, 25, 30, 21}
	not, days, weeks := make([]int, len(x)), make([]float64, len(x)), make([]float64, len(x))
	samples, scaled := make([][]float64, len(x)), make([][]float64, len(x))
	for i := range x {
		not[i], days[i], weeks[i] = n[i]-x[i], float64(7*n[i]), float64(n[i])
		for k := range 4 {
			v := float64(x[i]*(k+1)%7) + .1*float64(i)
			samples[i], scaled[i] = append(samples[i], v), append(scaled[i], 25.4*v)
		}
	}
	for _, limits := range []ChartLimits{StandardLimits, ExactLimits} {
		p, err := PChart(x, n, 1, limits)
		require.NoError(t, err)
		q, err := PChart(not, n, 1, limits)
		require.NoError(t, err)
		same := func(a, b Chart, mirror bool, factor float64) {
			t.Helper()
			for i, v := range a.Points {
				w := b.Points[i]
				want := []float64{v.Value, v.Low, v.High, v.Centre}
				if mirror {
					want = []float64{1 - v.Value, 1 - v.High, 1 - v.Low, 1 - v.Centre}
				}
				for k, got := range []float64{w.Value, w.Low, w.High, w.Centre} {
					assert.InDelta(t, factor*want[k], got, 1e-9, "%s point %d", limits, i)
				}
				assert.LessOrEqual(t, w.Low, w.Centre)
				assert.GreaterOrEqual(t, w.High, w.Centre)
				assert.Equal(t, v.Out, w.Out)
			}
			assert.Equal(t, a.Signals, b.Signals)
		}
		same(p, q, true, 1)
		u, err := UChart(x, weeks, 1, limits)
		require.NoError(t, err)
		v, err := UChart(x, days, 1, limits)
		require.NoError(t, err)
		same(u, v, false, 1./7)
		a, b, err := XbarS(samples, limits)
		require.NoError(t, err)
		c, d, err := XbarS(scaled, limits)
		require.NoError(t, err)
		same(a, c, false, 25.4)
		same(b, d, false, 25.4)
	}
}

// Funnel limits lie in order, draw together as observations grow, and mirror
// with the target.
func TestLawsOfFunnels(t *testing.T) {
	probabilities := []float64{.001, .025, .975, .999}
	mirrored := []float64{.999, .975, .025, .001}
	width := 1.0
	for _, n := range []int{30, 60, 120, 480} {
		l, err := FunnelBinomial(.3, n, probabilities...)
		require.NoError(t, err)
		m, err := FunnelBinomial(.7, n, mirrored...)
		require.NoError(t, err)
		for i, v := range l.Limits {
			assert.True(t, v >= 0 && v <= 1 && (i == 0 || v > l.Limits[i-1]))
			// Interpolation is from the upper end of a step, so mirrors differ by one.
			assert.InDelta(t, v, 1-m.Limits[i], 1.001/float64(n))
		}
		assert.Less(t, l.Limits[3]-l.Limits[0], width)
		width = l.Limits[3] - l.Limits[0]
	}
	width = math.Inf(1)
	for _, expected := range []float64{2, 5, 20, 100} {
		l, err := FunnelPoisson(expected, probabilities...)
		require.NoError(t, err)
		assert.IsNonDecreasing(t, l.Limits) // clipped at 0 for few
		assert.Less(t, l.Limits[3]-l.Limits[0], width)
		width = l.Limits[3] - l.Limits[0]
		normal, err := FunnelNormal(0, 1/expected, .1, math.Inf(-1), math.Inf(1), probabilities...)
		require.NoError(t, err)
		assert.InDelta(t, normal.Limits[0], -normal.Limits[3], 1e-12)
	}
}
