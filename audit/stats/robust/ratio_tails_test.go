package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
	runs := statstest.CoverageRuns()
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
