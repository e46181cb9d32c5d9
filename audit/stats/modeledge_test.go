package stats_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/mixed"
	"shortfall/audit/stats/robust"
)

// Tiny data sets of small whole numbers are full of dependent columns, empty
// rows, saturated fits and clusters of one: no method panics, P stays within 0
// and 1, the value within its limits, and an estimate without a standard error
// says why.
func TestDegenerateModels(t *testing.T) {
	n := uint64(150)
	if os.Getenv("SHORTFALL_LONG") != "" {
		n = 600
	}
	for seed := range n {
		m := tinyModel(rand.New(rand.NewPCG(seed, 11)), seed%3 == 0)
		p := len(m.Names)
		c := statstest.Unit(p, int(seed)%p)
		check := func(what string, e stats.Estimate) {
			assert.False(t, e.P < 0 || e.P > 1 || e.Low > e.Value || e.High < e.Value, "%s, seed %d: %+v", what, seed, e)
			assert.False(t, math.IsNaN(e.SE) && len(e.Warnings) == 0, "%s, seed %d: no reason given", what, seed)
		}
		for v := stats.CR0; v <= stats.CR3; v++ {
			f, err := robust.FitLinear(m, v)
			require.NoError(t, err)
			check(v.String(), f.Contrast(c, .95))
			assert.Len(t, f.Cov(), p*p)
			assert.Len(t, f.ModelCov(), p*p)
		}
		f, err := mixed.FitRandomIntercept(m, mixed.REML)
		require.NoError(t, err)
		assert.False(t, f.Random < 0 || f.Residual < 0, "seed %d", seed)
		assert.False(t, math.IsNaN(f.Random) && len(f.Warnings) == 0, "seed %d: no reason given", seed)
		for _, family := range []glm.CountFamily{glm.Poisson, glm.NegativeBinomial} {
			h, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: m.Y, Cluster: m.Cluster}, family, stats.CR2)
			require.NoError(t, err)
			check(family.String(), h.RateRatio(c, .95))
		}
	}
}

func tinyModel(r *rand.Rand, weighted bool) (m stats.LinearModel) {
	n, p := 1+r.IntN(12), 1+r.IntN(4)
	for j := range p {
		m.Names = append(m.Names, fmt.Sprint("x", j))
	}
	for range n {
		for range p {
			m.X = append(m.X, float64(r.IntN(3)))
		}
		m.Y, m.Cluster = append(m.Y, float64(r.IntN(3))), append(m.Cluster, r.IntN(4))
		if weighted {
			m.Weights = append(m.Weights, .1+r.Float64())
		}
	}
	return m
}
