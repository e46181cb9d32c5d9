package stats_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/confound"
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
		got, err := confound.OverlapWeights(x, p, treated, w)
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

// TestWeightsTakenAsKnownAreCautious: where the covariate goes with the outcome, the
// variance that takes the weights as known is above the true one.
func TestWeightsTakenAsKnownAreCautious(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 4))
	const runs, n = 300, 100
	var sum, squares, claimed float64
	for range runs {
		x, y, treated, one := make([]float64, n), make([]float64, n), make([]bool, n), make([]float64, n)
		for i := range n {
			x[i], one[i] = rng.NormFloat64(), 1
			treated[i], y[i] = rng.NormFloat64()+x[i]/2 > 0, x[i]+rng.NormFloat64()/2
		}
		w, err := confound.OverlapWeights(x, 1, treated, one)
		require.NoError(t, err)
		difference, variance := weightedDifference(y, w, treated)
		sum, squares, claimed = sum+difference, squares+difference*difference, claimed+variance
	}
	// Known, the outcome's standard deviation of 1.1 would count; estimated, its scatter of 1/2 about x.
	assert.Greater(t, claimed/runs, 2*(squares/runs-sum*sum/runs/runs))
}

// weightedDifference is the difference of two weighted means and its variance with the
// weights as given.
func weightedDifference(y, w []float64, treated []bool) (difference, variance float64) {
	for _, arm := range []bool{false, true} {
		var total, mean, squares float64
		for i := range y {
			if treated[i] == arm {
				total, mean = total+w[i], mean+w[i]*y[i]
			}
		}
		mean /= total
		for i := range y {
			if treated[i] == arm {
				squares += w[i] * w[i] * (y[i] - mean) * (y[i] - mean)
			}
		}
		difference, variance = mean-difference, variance+squares/total/total
	}
	return difference, variance
}

func TestOverlapWeightsRefuse(t *testing.T) {
	apart := []bool{false, false, true, true}
	one := []float64{1, 1, 1, 1}
	_, err := confound.OverlapWeights([]float64{1, 2, 3, 4}, 1, apart, one)
	require.ErrorContains(t, err, "tell the arms apart")
	_, err = confound.OverlapWeights([]float64{1, 2, 2, 4, 1, 2, 3, 6}, 2, []bool{true, false, false, true}, one)
	require.ErrorContains(t, err, "depend on each other")
	_, err = confound.OverlapWeights([]float64{1}, 1, apart, one)
	require.Error(t, err)
}
