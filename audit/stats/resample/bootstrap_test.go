package resample

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/numeric"
)

// One column of ones and a case a row: sign flipping of the mean. With five
// cases the 32 sign vectors are listed, by hand.
func TestWildBootstrapOfAMean(t *testing.T) {
	y := []float64{2.1, .4, 1.7, 3.0, -.3}
	x := [][]float64{{1}, {1}, {1}, {1}, {1}}
	r, err := WildCluster(y, x, nil, 0, 0, .9, DefaultBootstrap())
	require.NoError(t, err)
	assert.InDelta(t, 1.38, r.Value, 1e-12)
	_, v := numeric.MeanVariance(y)
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
		m, v := numeric.MeanVariance(z)
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

// Random signs: P counts the observed ones among them, (k+1)/(B+1), and so is
// never 0 (Davison & Hinkley 1997, equation 4.11).
func TestWildPOfRandomSigns(t *testing.T) {
	var y []float64
	var x [][]float64
	for i := range 40 {
		y, x = append(y, 50+math.Sin(float64(i*i))), append(x, []float64{1})
	}
	s := DefaultBootstrap()
	r, err := WildCluster(y, x, nil, 0, 0, .95, s)
	require.NoError(t, err)
	assert.InDelta(t, 1/float64(s.Replicates+1), r.P, 1e-15)
	r, err = WildCluster(y, x, nil, 0, 50, .95, s)
	require.NoError(t, err)
	k := r.P * float64(s.Replicates+1)
	assert.InDelta(t, math.Round(k), k, 1e-9)
	assert.Greater(t, k, 2.0)
}

// A column far from its mean, as years are, costs the wild bootstrap no digits.
func TestWildBootstrapOfYears(t *testing.T) {
	var y []float64
	var near, far [][]float64
	var cluster []int
	for i := range 40 {
		year := float64(i % 8)
		y = append(y, .3*year+math.Sin(float64(i*i)))
		near, far = append(near, []float64{1, year}), append(far, []float64{1, 2e6 + year})
		cluster = append(cluster, i/4)
	}
	a, err := WildCluster(y, near, cluster, 1, 0, .95, DefaultBootstrap())
	require.NoError(t, err)
	b, err := WildCluster(y, far, cluster, 1, 0, .95, DefaultBootstrap())
	require.NoError(t, err)
	assert.InEpsilon(t, a.Value, b.Value, 1e-8)
	assert.InEpsilon(t, a.SE, b.SE, 1e-8)
	assert.Equal(t, a.P, b.P)
	assert.InEpsilon(t, a.High, b.High, .01) // a limit is a jump of P
}
