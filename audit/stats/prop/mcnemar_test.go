package prop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// McNemar: b 121 c 59 and b 6 c 16 (R 4.2.2 mcnemar.test, binom.test); Agresti
// 1990, Categorical Data Analysis, approval ratings b 86 c 150.
func TestMcNemar(t *testing.T) {
	for _, c := range []struct {
		b, c                       int
		x2, cc, exact, mid, p, pcc float64
	}{
		{121, 59, 21.3555556, 20.6722222, math.NaN(), math.NaN(), 3.815136e-6, math.NaN()},
		{6, 16, 4.5454545, 3.6818182, .0524787903, .0346896648, .0330062577, .0550088336},
		{86, 150, 17.3559322, 16.8177966, 3.71593614e-5, math.NaN(), math.NaN(), math.NaN()},
	} {
		r, err := McNemar(c.b, c.c)
		require.NoError(t, err)
		for _, v := range []struct{ want, got float64 }{
			{c.x2, r.Statistic}, {c.cc, r.StatisticContinuity}, {c.exact, r.PExact}, {c.mid, r.PMid}, {c.p, r.P}, {c.pcc, r.PContinuity},
		} {
			if !math.IsNaN(v.want) {
				assert.InEpsilon(t, v.want, v.got, 5e-8, "%d %d", c.b, c.c)
			}
		}
		s, err := McNemar(c.c, c.b)
		require.NoError(t, err)
		assert.Equal(t, r.PExact, s.PExact)
		assert.Equal(t, r.PMid, s.PMid)
	}
	r, err := McNemar(0, 0)
	require.NoError(t, err)
	assert.Equal(t, 1.0, r.PMid)
	r, err = McNemar(4, 4)
	require.NoError(t, err)
	assert.Equal(t, 1.0, r.PExact)
	assert.Equal(t, 1.0, r.PMid)
	_, err = McNemar(-1, 3)
	require.Error(t, err)
}

// b 121 of 180: limits of the odds from those of the share, R 4.2.2
// p <- binom.test(121, 180)$conf.int; p/(1 - p).
func TestMcNemarOddsRatio(t *testing.T) {
	e, err := McNemarOddsRatio(121, 59, .95)
	require.NoError(t, err)
	assert.InDelta(t, 121.0/59, e.Value, 1e-12)
	assert.InDelta(t, 1.4903519978, e.Low, 1e-8)
	assert.InDelta(t, 2.8492973955, e.High, 1e-8)
	none, err := McNemarOddsRatio(0, 0, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(none.Low))
	assert.Equal(t, []string{"no-data"}, statstest.WarningIDs(none.Warnings))
	_, err = McNemarOddsRatio(1, 2, 1)
	require.Error(t, err)
	all, err := McNemarOddsRatio(7, 0, .95)
	require.NoError(t, err)
	assert.True(t, math.IsInf(all.High, 1))
}
