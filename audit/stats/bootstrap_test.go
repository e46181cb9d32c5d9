package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/combin"

	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/resample"
	"shortfall/audit/stats/robust"
)

// The whole bootstrap distribution of the first five cities of Davison &
// Hinkley 1997, table 1.3, can be listed, and the random one held against it.
func TestBootstrapAgainstTheListedDistribution(t *testing.T) {
	num, den := statstest.CityX[:5], statstest.CityU[:5]
	var all []float64
	gen := combin.NewCartesianGenerator([]int{5, 5, 5, 5, 5})
	for gen.Next() {
		var y, x float64
		for _, c := range gen.Product(nil) {
			y += num[c]
			x += den[c]
		}
		all = append(all, y/x)
	}
	mean, variance := numeric.MeanVariance(all)
	s := resample.DefaultBootstrap()
	s.Replicates = 40000
	r, err := robust.BootstrapRatioOfSums(num, den, nil, .95, s)
	require.NoError(t, err)
	assert.InEpsilon(t, math.Sqrt(variance), r.SE, .02)
	assert.InDelta(t, mean-r.Value, r.Bias, .02*r.SE)
	below := 0.0
	for _, v := range all {
		switch {
		case math.Abs(v-r.Value) < 1e-12:
			below += .5
		case v < r.Value:
			below++
		}
	}
	assert.InDelta(t, dist.NormalQuantile(below/float64(len(all))), r.Z0, .02)
}

// The same numbers on one worker and on seven; others from another seed.
func TestBootstrapDoesNotDependOnWorkers(t *testing.T) {
	s := resample.DefaultBootstrap()
	var last resample.BootstrapResult
	for i, workers := range []int{1, 2, 7} {
		s.Workers = workers
		r, err := robust.BootstrapRatioOfSums(statstest.ToyAchieve, statstest.ToyPlanned, statstest.ToyCase, .9, s)
		require.NoError(t, err)
		r.P = 0 // NaN equals nothing
		if i > 0 {
			assert.Equal(t, last, r)
		}
		last = r
	}
	s.Seed++
	r, err := robust.BootstrapRatioOfSums(statstest.ToyAchieve, statstest.ToyPlanned, statstest.ToyCase, .9, s)
	require.NoError(t, err)
	assert.NotEqual(t, last.SE, r.SE)
	assert.InEpsilon(t, last.SE, r.SE, .2)
	assert.Equal(t, s.Seed, r.Seed)
}

func TestBootstrapEdges(t *testing.T) {
	_, err := robust.BootstrapRatioOfSums(statstest.ToyAchieve, statstest.ToyPlanned, statstest.ToyCase, .95, resample.BootstrapSettings{})
	require.ErrorContains(t, err, "at least one")
	r, err := robust.BootstrapRatioOfSums([]float64{1, 2}, []float64{2, 4}, []int{3, 3}, .95, resample.DefaultBootstrap())
	require.NoError(t, err)
	assert.True(t, math.IsNaN(r.Low))
	flat, err := robust.BootstrapRatioOfSums([]float64{1, 2, 3}, []float64{2, 4, 6}, nil, .95, resample.DefaultBootstrap())
	require.NoError(t, err)
	assert.True(t, math.IsNaN(flat.Low) && math.IsNaN(flat.High))
	assert.Equal(t, []string{"no-spread"}, statstest.WarningIDs(flat.Warnings))
	zero, err := robust.BootstrapRatioOfSums([]float64{1, 2, 3}, []float64{0, 0, 5}, nil, .95, resample.DefaultBootstrap())
	require.NoError(t, err)
	assert.Contains(t, statstest.WarningIDs(zero.Warnings), "dropped-replicates")
	assert.Positive(t, zero.Dropped)
}
