package nonpar

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/statstest"
)

// Ranks of the 95 % interval of a median (Conover 1999, Practical
// Nonparametric Statistics, section 3.2, and its binomial table): n 10 ranks 2
// to 9 (97.9 %), n 20 ranks 6 to 15 (95.9 %), n 6 ranks 1 to 6 (96.9 %).
func TestMedianRanks(t *testing.T) {
	for _, c := range []struct {
		n, low, high int
		reached      float64
	}{{6, 1, 6, .96875}, {10, 2, 9, .978515625}, {20, 6, 15, .95861053}} {
		low, high, reached := orderRanks(c.n, .5, .95)
		assert.Equal(t, []int{c.low, c.high}, []int{low, high})
		assert.InDelta(t, c.reached, reached, 1e-8)
	}
	e, err := QuantileInterval([]float64{4, 2, 9, 1, 7, 3, 8, 10, 6, 5}, .5, .95)
	require.NoError(t, err)
	assert.Equal(t, []float64{5.5, 2, 9}, []float64{e.Value, e.Low, e.High})
	e, err = QuantileInterval([]float64{1, 2, 3, 4, 5}, .5, .95)
	require.NoError(t, err)
	assert.True(t, math.IsInf(e.Low, -1) || math.IsInf(e.High, 1))
	assert.Contains(t, statstest.WarningIDs(e.Warnings), "too-few-for-level")
	_, err = QuantileInterval([]float64{1}, 0, .95)
	require.Error(t, err)
}

// The walk over repeated values is the type 7 quantile of the repeated rows.
func TestWeightedQuantile(t *testing.T) {
	values, owner := []float64{1, 2, 3, 5, 8, 13}, []int{0, 1, 0, 2, 1, 2}
	for _, times := range [][]int{{1, 1, 1}, {2, 0, 1}, {0, 3, 0}, {1, 0, 2}} {
		var rows []float64
		for i, v := range values {
			for range times[owner[i]] {
				rows = append(rows, v)
			}
		}
		for _, p := range []float64{.05, .25, .5, .61, .9} {
			assert.InDelta(t, stats.Quantiles(rows, p)[0], weightedQuantile(values, owner, times, len(rows), p), 1e-12)
		}
	}
}

// By definition: of all pairs of ranks that reach the level the closest, and of
// those the most central.
func TestOrderRanksByListing(t *testing.T) {
	for _, c := range []struct {
		n        int
		p, level float64
	}{{20, .5, .95}, {31, .3, .9}, {17, .77, .8}, {40, .1, .95}, {9, .5, .5}} {
		least, off := math.Inf(1), math.Inf(1)
		for l := 0; l <= c.n; l++ {
			for h := l + 1; h <= c.n+1; h++ {
				cover := dist.BinomialCDF(h-1, c.n, c.p) - dist.BinomialCDF(l-1, c.n, c.p)
				away := math.Abs(float64(h+l)/2 - float64(c.n)*c.p - .5)
				if width := float64(h - l); cover >= c.level && (width < least || width == least && away < off) {
					least, off = width, away
				}
			}
		}
		l, h, reached := orderRanks(c.n, c.p, c.level)
		assert.Equal(t, least, float64(h-l), "%v", c)
		assert.InDelta(t, off, math.Abs(float64(h+l)/2-float64(c.n)*c.p-.5), 1e-9, "%v", c)
		assert.GreaterOrEqual(t, reached, c.level)
	}
}
