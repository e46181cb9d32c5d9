package confound

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOverlapWeightsBalance is the law that gives them their use: the weighted means
// of every covariate are the same in both arms (Li, Morgan & Zaslavsky 2018, theorem
// 3), whatever the scale of the covariate. Values against R: audit/testdata/between.R.
func TestOverlapWeightsBalance(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	for range 20 {
		n, p := 200, 3
		x, treated, w := make([]float64, n*p), make([]bool, n), make([]float64, n)
		for i := range n {
			for j, scale := range []float64{1e-3, 1, 1e4} {
				x[i*p+j] = scale * rng.NormFloat64()
			}
			treated[i], w[i] = rng.NormFloat64()+x[i*p+1] > 0, 0.1+rng.Float64()
		}
		got, err := OverlapWeights(x, p, treated, w)
		require.NoError(t, err)
		for j := range p {
			var sum, total [2]float64
			for i := range n {
				k := 0
				if treated[i] {
					k = 1
				}
				assert.True(t, got[i] > 0 && got[i] < w[i])
				sum[k], total[k] = sum[k]+got[i]*x[i*p+j], total[k]+got[i]
			}
			assert.InDelta(t, total[0], total[1], 1e-8)
			assert.InEpsilon(t, 1+sum[0]/total[0], 1+sum[1]/total[1], 1e-7)
		}
	}
}

func TestOverlapWeightsRefuse(t *testing.T) {
	apart := []bool{false, false, true, true}
	one := []float64{1, 1, 1, 1}
	_, err := OverlapWeights([]float64{1, 2, 3, 4}, 1, apart, one)
	require.ErrorContains(t, err, "tell the arms apart")
	_, err = OverlapWeights([]float64{1, 2, 2, 4, 1, 2, 3, 6}, 2, []bool{true, false, false, true}, one)
	require.ErrorContains(t, err, "depend on each other")
	_, err = OverlapWeights([]float64{1}, 1, apart, one)
	require.Error(t, err)
}
