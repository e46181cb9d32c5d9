package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

// Numbers that are not finite in comparisons and places are said.
func TestBadRowsAndComparisons(t *testing.T) {
	m := statstest.LawModel(3)
	f, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	e := f.Contrast([]float64{0, math.NaN(), 1}, .95)
	assert.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Low))
	assert.Equal(t, []string{"bad-contrast"}, statstest.WarningIDs(e.Warnings))
	p, err := robust.FitPrediction([]float64{1, 2, 3, 4}, []float64{1, 2.5, 3, 4.2}, nil)
	require.NoError(t, err)
	for _, bad := range []stats.Estimate{p.At(0, .9), p.At(-1, .9), p.At(2, 0), p.At(2, 1), p.At(math.Inf(1), .9)} {
		assert.Equal(t, []string{"bad-place"}, statstest.WarningIDs(bad.Warnings))
		assert.True(t, math.IsNaN(bad.Low))
	}
	inside, total := p.HeldOut(0)
	assert.Zero(t, inside+total)
	line, err := robust.FitPrediction([]float64{1, 2, 3, 4}, []float64{1, 2, 3, 4}, nil)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-spread"}, statstest.WarningIDs(line.At(2, .9).Warnings))
}
