package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/control"
	"shortfall/audit/stats/internal/statstest"
)

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
