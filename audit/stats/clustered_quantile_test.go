package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/nonpar"
	"shortfall/audit/stats/resample"
)

func TestClusteredQuantileOfGrowth(t *testing.T) {
	x, child := statstest.JawGrowth()
	r, err := nonpar.ClusteredQuantile(x, child, .5, .95, resample.DefaultBootstrap())
	require.NoError(t, err)
	naive, err := nonpar.QuantileInterval(x, .5, .95)
	require.NoError(t, err)
	assert.Equal(t, naive.Value, r.Value)
	assert.LessOrEqual(t, r.Low, r.Value)
	assert.GreaterOrEqual(t, r.High, r.Value)
	// Teeth of one case go together: whole cases give no narrower interval, and
	// a clearly wider one for a quartile.
	assert.GreaterOrEqual(t, r.High-r.Low, naive.High-naive.Low)
	r, err = nonpar.ClusteredQuantile(x, child, .75, .95, resample.DefaultBootstrap())
	require.NoError(t, err)
	naive, err = nonpar.QuantileInterval(x, .75, .95)
	require.NoError(t, err)
	assert.Greater(t, r.High-r.Low, naive.High-naive.Low)
}
