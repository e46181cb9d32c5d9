package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

// With equal denominators the degrees of freedom are 2m/(b2 - 1), b2 the
// kurtosis: R 4.2.2, psych 2.2.9, x drawn by set.seed(1); round(rlnorm(12), 2):
//
//	2 * 12 / (psych::kurtosi(x, type = 1) + 2)
func TestLongTailsAreTheKurtosis(t *testing.T) {
	x := []float64{.53, 1.2, .43, 4.93, 1.39, .44, 1.63, 2.09, 1.78, .74, 4.53, 1.48}
	den := make([]float64, len(x))
	for i := range den {
		den[i] = 1
	}
	e, err := RatioOfSumsLongTails(x, den, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, 10.0406835939, e.DF, 1e-10)
	plain, err := RatioOfSumsCR2(x, den, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, 11, plain.DF, 1e-12)
	assert.Equal(t, plain.SE, e.SE)
	assert.Greater(t, e.High-e.Low, plain.High-plain.Low)
}

// The variance of a sample variance, sigma^4 (2/(m-1) + (b2-3)/m), on which longTails
// rests, holds exactly: all 256 samples of four from a skewed distribution of four values.
func TestVarianceOfASampleVariance(t *testing.T) {
	values, m := []float64{0, 1, 2, 9}, 4.0
	var mean, m2, m4 float64
	for _, v := range values {
		mean += v / 4
	}
	for _, v := range values {
		d := v - mean
		m2, m4 = m2+d*d/4, m4+d*d*d*d/4
	}
	var second, first float64
	for k := range 256 {
		sample := []float64{values[k&3], values[k>>2&3], values[k>>4&3], values[k>>6]}
		_, variance := numeric.MeanVariance(sample)
		first, second = first+variance/256, second+variance*variance/256
	}
	assert.InDelta(t, m2, first, 1e-12)
	assert.InDelta(t, m2*m2*(2/(m-1)+(m4/(m2*m2)-3)/m), second-first*first, 1e-9)
}

// Short tails do not add degrees of freedom; nor do two cases, whose terms are
// alike.
func TestShortTailsKeepSatterthwaite(t *testing.T) {
	for name, num := range map[string][]float64{"two-valued": {1, 2, 1, 2, 1, 2, 1, 2}, "two cases": {1, 3}} {
		den := make([]float64, len(num))
		for i := range den {
			den[i] = 2
		}
		e, err := RatioOfSums(num, den, nil, .95)
		require.NoError(t, err, name)
		assert.InDelta(t, float64(len(num)-1), e.DF, 1e-12, name)
	}
}

// Where a few cases lie far out, the interval on Satterthwaite degrees of
// freedom misses more often than the one that reads the tails off the data.
// Neither mends a skewed distribution wholly.
func TestCoverageUnderLongTails(t *testing.T) {
	runs := 2 * statstest.CoverageRuns() // two shares are compared
	r := rand.New(rand.NewPCG(5, 7))
	const m, sigma = 40, 1.2
	truth := math.Exp(sigma * sigma / 2)
	var tails, plain int
	for range runs {
		num, den := make([]float64, m), make([]float64, m)
		for i := range num {
			den[i] = 1
			num[i] = math.Exp(sigma * r.NormFloat64())
		}
		e, err := RatioOfSumsLongTails(num, den, nil, .95)
		require.NoError(t, err)
		p, err := RatioOfSumsCR2(num, den, nil, .95)
		require.NoError(t, err)
		tails += statstest.Covers(e, truth)
		plain += statstest.Covers(p, truth)
	}
	t.Logf("long tails %.1f %%, Satterthwaite %.1f %%", 100*float64(tails)/float64(runs), 100*float64(plain)/float64(runs))
	assert.Greater(t, float64(tails-plain)/float64(runs), .008)
	assert.Greater(t, float64(tails)/float64(runs), .88)
}
