package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/control"
)

// Funnel limits lie in order, draw together as observations grow, and mirror
// with the target.
func TestLawsOfFunnels(t *testing.T) {
	probabilities := []float64{.001, .025, .975, .999}
	mirrored := []float64{.999, .975, .025, .001}
	width := 1.0
	for _, n := range []int{30, 60, 120, 480} {
		l, err := control.FunnelBinomial(.3, n, probabilities...)
		require.NoError(t, err)
		m, err := control.FunnelBinomial(.7, n, mirrored...)
		require.NoError(t, err)
		for i, v := range l.Limits {
			assert.True(t, v >= 0 && v <= 1 && (i == 0 || v > l.Limits[i-1]))
			// Interpolation is from the upper end of a step, so mirrors differ by one.
			assert.InDelta(t, v, 1-m.Limits[i], 1.001/float64(n))
		}
		assert.Less(t, l.Limits[3]-l.Limits[0], width)
		width = l.Limits[3] - l.Limits[0]
	}
}
