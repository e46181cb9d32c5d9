package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

// MASS::quine, epil and the yeast counts of theta.ml's example: glm.nb of MASS
// in R 4.2.2, published for quine in Venables & Ripley 2002.
func TestPublishedNegativeBinomial(t *testing.T) {
	for _, c := range []struct {
		id                               string
		theta, thetaSE, thetaTol, logLik float64
		coef                             []float64
	}{
		{"count/quine", 1.274893, .161, 4e-3, -1093.151, []float64{2.8945800, -.5693717, .0823203, -.4484281, .0880801, .3569009, .2921091}},
		{"count/quine-mean", 1.066785, math.NaN(), 0, -1118.267, []float64{2.8008666}},
		{"count/quine-nested", 1.59799073, .212865444, 2e-5, -1063.02502, nil},
		{"count/epil", 2.77158317, .39301716, 2e-5, -1294.35777, nil},
		{"count/yeast", 3.58608743, 1.7496093, 2e-5, -2 * 446.531576, []float64{-.381992752}},
	} {
		m, _ := countOf(statstest.Reference(t, c.id))
		f, err := glm.FitCount(m, glm.NegativeBinomial, stats.CR0)
		require.NoError(t, err)
		statstest.Near(t, c.theta, f.Theta, 1e-6, 0, c.id)
		if !math.IsNaN(c.thetaSE) {
			statstest.Near(t, c.thetaSE, f.ThetaSE, c.thetaTol, 0, c.id)
		}
		statstest.Near(t, c.logLik, 2*f.LogLik, 1e-6, 0, c.id)
		for j, want := range c.coef {
			assert.InDelta(t, want, f.Coef[j], 1e-6, c.id)
		}
	}
	quine := statstest.Reference(t, "count/quine").Y
	mean, variance := numeric.MeanVariance(quine)
	assert.InDelta(t, 16.4589, mean, 5e-5)
	assert.InDelta(t, 264.1673, variance, 5e-5)
	_, variance = numeric.MeanVariance(statstest.Reference(t, "count/yeast").Y)
	assert.InDelta(t, .81372807, variance, 5e-9)
}
