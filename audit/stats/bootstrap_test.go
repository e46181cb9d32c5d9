package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/combin"
)

// The whole bootstrap distribution of the first five cities of Davison &
// Hinkley 1997, table 1.3, can be listed, and the random one held against it.
func TestBootstrapAgainstTheListedDistribution(t *testing.T) {
	num, den := cityX[:5], cityU[:5]
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
	mean, variance := meanVariance(all)
	s := DefaultBootstrap()
	s.Replicates = 40000
	r, err := BootstrapRatioOfSums(num, den, nil, .95, s)
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
	assert.InDelta(t, normalQuantile(below/float64(len(all))), r.Z0, .02)
}

// The same numbers on one worker and on seven; others from another seed.
func TestBootstrapDoesNotDependOnWorkers(t *testing.T) {
	s := DefaultBootstrap()
	var last BootstrapResult
	for i, workers := range []int{1, 2, 7} {
		s.Workers = workers
		r, err := BootstrapRatioOfSums(toyAchieve, toyPlanned, toyCase, .9, s)
		require.NoError(t, err)
		r.P = 0 // NaN equals nothing
		if i > 0 {
			assert.Equal(t, last, r)
		}
		last = r
	}
	s.Seed++
	r, err := BootstrapRatioOfSums(toyAchieve, toyPlanned, toyCase, .9, s)
	require.NoError(t, err)
	assert.NotEqual(t, last.SE, r.SE)
	assert.InEpsilon(t, last.SE, r.SE, .2)
	assert.Equal(t, s.Seed, r.Seed)
}

func TestBootstrapEdges(t *testing.T) {
	_, err := BootstrapRatioOfSums(toyAchieve, toyPlanned, toyCase, .95, BootstrapSettings{})
	require.ErrorContains(t, err, "at least one")
	r, err := BootstrapRatioOfSums([]float64{1, 2}, []float64{2, 4}, []int{3, 3}, .95, DefaultBootstrap())
	require.NoError(t, err)
	assert.True(t, math.IsNaN(r.Low))
	flat, err := BootstrapRatioOfSums([]float64{1, 2, 3}, []float64{2, 4, 6}, nil, .95, DefaultBootstrap())
	require.NoError(t, err)
	assert.True(t, math.IsNaN(flat.Low) && math.IsNaN(flat.High))
	assert.Equal(t, []string{"no-spread"}, warningIDs(flat.Warnings))
	zero, err := BootstrapRatioOfSums([]float64{1, 2, 3}, []float64{0, 0, 5}, nil, .95, DefaultBootstrap())
	require.NoError(t, err)
	assert.Contains(t, warningIDs(zero.Warnings), "dropped-replicates")
	assert.Positive(t, zero.Dropped)
}

// One column of ones and a case a row: sign flipping of the mean. With five
// cases the 32 sign vectors are listed, by hand.
func TestWildBootstrapOfAMean(t *testing.T) {
	y := []float64{2.1, .4, 1.7, 3.0, -.3}
	x := [][]float64{{1}, {1}, {1}, {1}, {1}}
	r, err := WildCluster(y, x, nil, 0, 0, .9, DefaultBootstrap())
	require.NoError(t, err)
	assert.InDelta(t, 1.38, r.Value, 1e-12)
	_, v := meanVariance(y)
	assert.InDelta(t, math.Sqrt(v/5), r.SE, 1e-12) // CR1 of a mean is the textbook error
	count := 0
	for bits := range 32 {
		z := make([]float64, 5)
		for i := range z {
			z[i] = y[i]
			if bits>>i&1 == 1 {
				z[i] = -z[i]
			}
		}
		m, v := meanVariance(z)
		if math.Abs(m)/math.Sqrt(v/5) >= r.Value/r.SE*(1-1e-12) {
			count++
		}
	}
	assert.InDelta(t, float64(count)/32, r.P, 1e-15)
	assert.Less(t, r.Low, r.Value)
	assert.Greater(t, r.High, r.Value)
}

// Unbalanced growth data of the shape of a two-arm comparison: P close to the
// t test of cluster means when every case is of one size (an identity here),
// and the P at the ends of the interval is the tail.
func TestWildBootstrapOfADifference(t *testing.T) {
	var y []float64
	var x [][]float64
	var cluster []int
	for c := range 16 {
		for j := range 3 + c%3 {
			arm := float64(c % 2)
			y = append(y, 5+arm*1.1+math.Sin(float64(7*c))+.3*math.Cos(float64(5*c+3*j)))
			x = append(x, []float64{1, arm})
			cluster = append(cluster, c)
		}
	}
	s := DefaultBootstrap()
	r, err := WildCluster(y, x, cluster, 1, 0, .95, s)
	require.NoError(t, err)
	assert.Less(t, r.P, .05)
	assert.Greater(t, r.Low, 0.0)
	outside, err := WildCluster(y, x, cluster, 1, r.High+1e-6, .95, s)
	require.NoError(t, err)
	assert.LessOrEqual(t, outside.P, .05+1e-9)
	inside, err := WildCluster(y, x, cluster, 1, r.High-1e-3, .95, s)
	require.NoError(t, err)
	assert.Greater(t, inside.P, .05)
	s.Workers = 5
	again, err := WildCluster(y, x, cluster, 1, 0, .95, s)
	require.NoError(t, err)
	assert.Equal(t, r.P, again.P)
	assert.Equal(t, r.Low, again.Low)
	_, err = WildCluster(y, [][]float64{{1}}, cluster, 0, 0, .95, s)
	require.Error(t, err)
	for i := range x {
		x[i] = []float64{1, 1}
	}
	_, err = WildCluster(y, x, cluster, 1, 0, .95, s)
	require.ErrorContains(t, err, "depends on those before it")
}
