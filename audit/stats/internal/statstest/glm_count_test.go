package statstest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
)

// Counts less spread than Poisson's: theta is infinite, the fit is Poisson's and
// says so.
func TestNoOverdispersion(t *testing.T) {
	m := glm.CountModel{Names: []string{"1"}}
	for i := range 40 {
		m.X, m.Y = append(m.X, 1), append(m.Y, float64(2+i%2))
	}
	nb, err := glm.FitCount(m, glm.NegativeBinomial, stats.CR2)
	require.NoError(t, err)
	po, err := glm.FitCount(m, glm.Poisson, stats.CR2)
	require.NoError(t, err)
	assert.Equal(t, stats.Boundary, nb.Status)
	assert.True(t, math.IsInf(nb.Theta, 1))
	assert.Equal(t, "no-overdispersion", nb.Warnings[0].ID)
	assert.Equal(t, po.Contrast([]float64{1}, 0.95).SE, nb.Contrast([]float64{1}, 0.95).SE)
}

// A group without events has no finite rate ratio.
func TestGroupWithoutEvents(t *testing.T) {
	m := glm.CountModel{Names: []string{"1", "b"}}
	for i := range 30 {
		b := float64(i % 2)
		m.X = append(m.X, 1, b)
		m.Y = append(m.Y, (1-b)*float64(1+i%3))
	}
	f, err := glm.FitCount(m, glm.Poisson, stats.CR2)
	require.NoError(t, err)
	assert.Equal(t, stats.Diverged, f.Status)
	e := f.RateRatio([]float64{0, 1}, 0.95)
	assert.True(t, math.IsNaN(e.High))
	assert.Equal(t, "no-events", e.Warnings[0].ID)

	for i := range m.Y {
		m.Y[i] = 0
	}
	f, err = glm.FitCount(m, glm.NegativeBinomial, stats.CR2)
	require.NoError(t, err)
	assert.Equal(t, stats.Failed, f.Status)
	assert.True(t, math.IsNaN(f.RateRatio([]float64{0, 1}, 0.95).Value))
}

func TestCountRefusesBadInput(t *testing.T) {
	for name, m := range map[string]glm.CountModel{
		"fraction": {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, .5}},
		"negative": {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, -1}},
		"offsets":  {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, 1}, Offset: []float64{1}},
		"exposure": {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, 1}, Offset: []float64{1, math.Inf(-1)}},
	} {
		_, err := glm.FitCount(m, glm.Poisson, stats.CR2)
		assert.Error(t, err, name)
	}
	_, err := glm.FitCount(glm.CountModel{Names: []string{"1"}, X: []float64{1}, Y: []float64{1}}, glm.CountFamily(9), stats.CR2)
	assert.Error(t, err)
}
