package statstest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/internal/statstest"
)

// Student's sleep data (datasets::sleep), margin 1 to 3, t.test of R.
func TestEquivalenceAgainstR(t *testing.T) {
	r := statstest.Reference(t, "equivalence")
	e := stats.Estimate{Value: r.Value[0], SE: r.SE[0], DF: r.DF[0]}
	got, err := decide.TestEquivalence(e, 1, 3, 0.05)
	require.NoError(t, err)
	statstest.Near(t, r.P[0], got.P, 1e-9, 0)
	statstest.Near(t, r.Limits[0], got.IntervalLow, 1e-9, 0)
	statstest.Near(t, r.Limits[1], got.IntervalHigh, 1e-9, 0)
	assert.Equal(t, got.P < 0.05, got.Equivalent)

	// Law: equivalent exactly where the 1 - 2 alpha interval is inside the margin.
	for _, half := range []float64{.1, .5, .7, .8, 1, 2, 4} {
		got, err := decide.TestEquivalence(e, e.Value-half, e.Value+half, 0.05)
		require.NoError(t, err)
		inside := got.IntervalLow > got.Low && got.IntervalHigh < got.High
		assert.Equal(t, inside, got.Equivalent, "half width %v", half)
		assert.True(t, got.P >= 0 && got.P <= 1)
		mirror, err := decide.TestEquivalence(stats.Estimate{Value: -e.Value, SE: e.SE, DF: e.DF}, -got.High, -got.Low, 0.05)
		require.NoError(t, err)
		statstest.Near(t, got.P, mirror.P, 1e-12, 0, "arms swapped")
	}
	_, err = decide.TestEquivalence(e, 3, 1, 0.05)
	assert.Error(t, err)
	_, err = decide.TestEquivalence(e, 1, 3, 0)
	assert.Error(t, err)
	got, err = decide.TestEquivalence(stats.Estimate{SE: math.NaN()}, 1, 3, 0.05)
	require.NoError(t, err)
	assert.False(t, got.Equivalent)
}
