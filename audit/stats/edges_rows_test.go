package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/nonpar"
	"shortfall/audit/stats/robust"
)

// Numbers that are not finite in rows or comparisons are refused or said; so are
// too many pairs to list.
func TestBadRowsAndComparisons(t *testing.T) {
	_, err := robust.MeanRow([]float64{1, math.NaN()}, 2, nil)
	require.ErrorContains(t, err, "row 0, column 1")
	_, err = robust.MeanRow([]float64{1, 2}, 1, []float64{1, -1})
	require.ErrorContains(t, err, "weight of row 1")
	m := statstest.LawModel(3)
	f, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	e := f.Contrast([]float64{0, math.NaN(), 1}, .95)
	assert.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Low))
	assert.Equal(t, []string{"bad-contrast"}, statstest.WarningIDs(e.Warnings))
	counts := make([]float64, len(m.Y))
	g, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: append(counts[:0:0], append([]float64{3}, counts[1:]...)...), Cluster: m.Cluster}, glm.Poisson, stats.CR2)
	require.NoError(t, err)
	_, err = g.AdjustedMeans([]float64{1, math.Inf(1), 0}, []float64{1, 0, 0}, nil, .95)
	require.ErrorContains(t, err, "row 0, column 1")
	d := make([]float64, 7100)
	for i := range d {
		d[i] = math.Sin(float64(i)) + .1
	}
	r, err := nonpar.SignedRank(d, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(r.Value) && r.P < 1e-6)
	assert.Equal(t, []string{"too-many-pairs"}, statstest.WarningIDs(r.Warnings))
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

// A comparison with a group that the rows do not tell apart is no number, nor is
// a ratio of it; a dropped column is not taken to be nought.
func TestAdjustedMeansOfDroppedColumns(t *testing.T) {
	m := glm.CountModel{Names: []string{"1", "a", "same"}}
	var rows, other []float64
	for i := range 30 {
		a := float64(i % 2)
		m.X, m.Y, m.Cluster = append(m.X, 1, a, a), append(m.Y, float64(1+i%3)), append(m.Cluster, i/3)
		rows, other = append(rows, 1, 0, 1), append(other, 1, 0, 0)
	}
	f, err := glm.FitCount(m, glm.Poisson, stats.CR2)
	require.NoError(t, err)
	e, err := f.AdjustedMeans(rows, other, nil, .95)
	require.NoError(t, err)
	for _, v := range []stats.Estimate{e.First, e.Difference, e.Ratio} {
		assert.True(t, math.IsNaN(v.Value) && math.IsNaN(v.Low), v.Method)
		assert.Contains(t, statstest.WarningIDs(v.Warnings), "not-estimable")
	}
	assert.False(t, math.IsNaN(e.Second.Value))
	l, err := robust.FitLinear(stats.LinearModel{Names: m.Names, X: m.X, Y: m.Y, Cluster: m.Cluster}, stats.CR2)
	require.NoError(t, err)
	a := l.AdjustedMeans([]float64{1, 0, 1}, []float64{1, 0, 0}, .95)
	assert.Equal(t, []string{"not-estimable"}, statstest.WarningIDs(a.Ratio.Warnings))
	assert.NotEmpty(t, a.Ratio.Method)
}
