package stats_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
)

func countOf(r *statstest.ModelReference) (glm.CountModel, glm.CountFamily) {
	family := glm.Poisson
	if r.Family == "negbin" {
		family = glm.NegativeBinomial
	}
	return glm.CountModel{Names: r.Names, X: r.X, Y: r.Y, Offset: r.Offset, Cluster: r.Cluster}, family
}

// Count models against R's glm, MASS::glm.nb, sandwich and clubSandwich.
func TestCountsAgainstR(t *testing.T) {
	statstest.EachReference(t, "count", 11, func(t *testing.T, r *statstest.ModelReference) {
		m, family := countOf(r)
		p := len(r.Names)
		for v, raw := range map[stats.Variance]json.RawMessage{stats.CR0: r.CR0, stats.CR2: r.CR2, stats.CR3: r.CR3} {
			if raw == nil {
				continue
			}
			var want statstest.Numbers
			require.NoError(t, json.Unmarshal(raw, &want))
			f, err := glm.FitCount(m, family, v)
			require.NoError(t, err)
			assert.Equal(t, stats.Converged, f.Status)
			statstest.Near(t, r.LogLik[0], f.LogLik, 1e-9, 0, "log likelihood")
			statstest.Near(t, r.Deviance[0], f.Deviance, 1e-6, 0, "deviance")
			statstest.Near(t, r.Pearson[0], f.Pearson, 1e-6, 0, "dispersion")
			if family == glm.NegativeBinomial {
				statstest.Near(t, r.Theta[0], f.Theta, 1e-6, 0, "theta")
				statstest.Near(t, r.ThetaSE[0], f.ThetaSE, 2e-5, 0, "SE of theta") // R takes it one Newton step early
			}
			for j := range p {
				e := f.Contrast(statstest.Unit(p, j), 0.95)
				statstest.Near(t, r.Coef[j], e.Value, 1e-6, 1e-2, r.Names[j])
				statstest.Near(t, want[j], e.SE, 1e-6, 0, r.Names[j], v)
				if v == stats.CR2 && r.CR2DF != nil {
					statstest.Near(t, r.CR2DF[j], e.DF, 1e-5, 0, r.Names[j], "df")
				}
			}
		}
	})
}

// Published: MASS (Venables & Ripley 2002) quine: theta 1.275 (SE .161),
// 2 log-lik. -1093.151; the yeast counts 213, 128, 37, 18, 3, 1: mean .6825,
// theta 3.58608743, log likelihood -446.531576 against Poisson's -449.503791.
func TestPublishedCounts(t *testing.T) {
	m, _ := countOf(statstest.Reference(t, "count/quine"))
	f, err := glm.FitCount(m, glm.NegativeBinomial, stats.CR2)
	require.NoError(t, err)
	statstest.Near(t, 1.274893, f.Theta, 1e-6, 0)
	statstest.Near(t, .161, f.ThetaSE, 4e-3, 0)
	statstest.Near(t, -1093.151, 2*f.LogLik, 1e-6, 0)

	m, _ = countOf(statstest.Reference(t, "count/yeast"))
	nb, err := glm.FitCount(m, glm.NegativeBinomial, stats.CR2)
	require.NoError(t, err)
	po, err := glm.FitCount(m, glm.Poisson, stats.CR2)
	require.NoError(t, err)
	statstest.Near(t, math.Log(.6825), nb.Coef[0], 1e-9, 0)
	statstest.Near(t, 3.58608743, nb.Theta, 1e-8, 0)
	statstest.Near(t, 1.7496093, nb.ThetaSE, 2e-5, 0)
	statstest.Near(t, -446.531576, nb.LogLik, 1e-8, 0)
	statstest.Near(t, -449.503791, po.LogLik, 1e-8, 0)
	statstest.Near(t, 1.19227556, po.Pearson, 1e-8, 0)
}

// The rate ratio is the exponential of the contrast, and exposure is an offset:
// ten times the exposure in every row leaves the ratio alone.
func TestRateRatio(t *testing.T) {
	r := statstest.Reference(t, "count/insurance")
	m, family := countOf(r)
	f, err := glm.FitCount(m, family, stats.CR2)
	require.NoError(t, err)
	c := statstest.Unit(len(r.Names), 4)
	log, ratio := f.Contrast(c, 0.95), f.RateRatio(c, 0.95)
	statstest.Near(t, math.Exp(log.Low), ratio.Low, 1e-14, 0)
	statstest.Near(t, math.Exp(log.High), ratio.High, 1e-14, 0)
	assert.Equal(t, log.P, ratio.P)
	m.Offset = append([]float64(nil), m.Offset...)
	for i := range m.Offset {
		m.Offset[i] += math.Log(10)
	}
	g, err := glm.FitCount(m, family, stats.CR2)
	require.NoError(t, err)
	statstest.Near(t, ratio.Value, g.RateRatio(c, 0.95).Value, 1e-10, 0)
	statstest.Near(t, f.Coef[0]-math.Log(10), g.Coef[0], 1e-10, 0)
}
