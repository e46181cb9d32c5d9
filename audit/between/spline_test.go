package between

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// TestSplineAgainstR: the fitted values of a straight line with its two bends are those of
// R 4.2.2, lm(y ~ ns(x, knots = c(8, 15), Boundary.knots = c(2, 25))) of package splines.
func TestSplineAgainstR(t *testing.T) {
	x := []float64{0, 1, 2, 3, 5, 8, 9, 12, 15, 17, 20, 22, 25, 30}
	y := []float64{3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5, 8, 9, 7}
	want := []float64{
		1.753549084951, 2.290764166864, 2.827979248776, 3.361751580659, 4.346670243711, 5.307635733822, 5.415656315395,
		5.271604258408, 5.003973928776, 5.078333339812, 5.586192024213, 6.108564859771, 7.029974397578, 8.617350817264,
	}
	knots := []float64{2, 8, 15, 25}
	m := stats.LinearModel{Names: []string{"one", "x", "bend 1", "bend 2"}, Y: y}
	for i, v := range x {
		m.X, m.Cluster = append(m.X, 1, v, bent(v, knots, 0), bent(v, knots, 1)), append(m.Cluster, i)
	}
	fit, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	for i, v := range x {
		at := fit.Contrast([]float64{1, v, bent(v, knots, 0), bent(v, knots, 1)}, 0.95)
		assert.InDelta(t, want[i], at.Value, 1e-9, "at %v", v)
	}
}

// TestBendsAgainstR: rcspline.eval(x, knots = c(2, 8, 15, 25)) of Hmisc 4.8-0, which is
// where the bends stand in the field's software.
func TestBendsAgainstR(t *testing.T) {
	want := map[float64][2]float64{
		1: {}, 3: {0.00189035916824, 0}, 9: {0.64839319470699, 0.00189035916824},
		17: {6.34517958412098, 1.35236294896030}, 30: {27.13043478260870, 9.44801512287335},
	}
	for x, bends := range want {
		for j, w := range bends {
			assert.InDelta(t, w, bent(x, []float64{2, 8, 15, 25}, j), 1e-12, "bend %d at %v", j+1, x)
		}
	}
}
