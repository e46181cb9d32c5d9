package prop

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/statstest"
)

// Nominal 95 % intervals of a share cover 93 to 97 %. Outcomes are
// beta-binomial. The exception is a share of .1 in 10 cases: there even no
// success at all has an upper limit above .1, as ten cases that each go one way
// can hide (exact one-sided chance of none in 10: .9^10 = .35), so that nearly
// all misses lie on one side and an interval of equal tails covers about 97.5 %.
// Wilson's own limits with a t quantile on 9 df, what is left of these where
// the teeth of a case go together, cover 98.7 % there: see the end.
func TestCoverageOfClusteredProportion(t *testing.T) {
	runs := statstest.CoverageRuns()
	slack := statstest.CoverageSlack(runs) - .005 // the long form then allows .4 of a point for chance
	for _, p := range []float64{.3, .5, .1} {
		statstest.EachCoverageSetting(func(name string, cases int, icc float64, teeth func(*rand.Rand, int) int) {
			r := rand.New(rand.NewPCG(2, uint64(cases)))
			below, above := 0, 0
			for range runs {
				success, cluster := statstest.BetaBinomialCases(r, cases, p, icc, teeth)
				e, err := ClusteredProportion(success, cluster, .95)
				require.NoError(t, err)
				if e.High < p {
					below++
				}
				if e.Low > p {
					above++
				}
			}
			got := 1 - float64(below+above)/float64(runs)
			t.Logf("p %.1f %-10s %3d cases icc %.1f: %.1f %% (below %d, above %d)", p, name, cases, icc, 100*got, below, above)
			assert.GreaterOrEqual(t, got, .93-slack, "p %v %s %d cases icc %v", p, name, cases, icc)
			if p == .1 && cases == 10 {
				assert.LessOrEqual(t, below, above, "%s icc %v", name, icc)
				assert.LessOrEqual(t, got, .985+slack, "p %v %s %d cases icc %v", p, name, cases, icc)
				return
			}
			assert.LessOrEqual(t, got, .97+slack, "p %v %s %d cases icc %v", p, name, cases, icc)
		})
	}
	none, err := ClusteredProportion(make([]bool, 80), tenCases(), .95)
	require.NoError(t, err)
	assert.Greater(t, none.High, .1)
	assert.InDelta(t, .9872, wilsonCoverage(10, .1, dist.TQuantile(.975, 9)), 5e-5)
}

// wilsonCoverage is the exact chance that Wilson's limits of a binomial count
// hold p, as in Agresti & Coull (1998, Am Stat 52:119-126, section 2).
func wilsonCoverage(n int, p, quantile float64) (held float64) {
	b := distuv.Binomial{N: float64(n), P: p}
	for x := range n + 1 {
		if low, high := wilsonLimits(float64(x)/float64(n), float64(n), quantile); low <= p && p <= high {
			held += b.Prob(float64(x))
		}
	}
	return held
}

// The settings that tell the choices of degrees of freedom apart, at length
// also in the short form: with Satterthwaite's alone the first covers 98.8 %,
// with cases - 1 alone it covers 90.0 and the second 91.0 %.
func TestCoverageOfLopsidedShares(t *testing.T) {
	const runs = 6000
	for _, icc := range []float64{.4, .1} {
		r := rand.New(rand.NewPCG(4, 10))
		hit := 0
		for range runs {
			success, cluster := statstest.BetaBinomialCases(r, 10, .5, icc, statstest.CoverageDesigns["extreme"])
			e, err := ClusteredProportion(success, cluster, .95)
			require.NoError(t, err)
			hit += statstest.Covers(e.Estimate, .5)
		}
		got := float64(hit) / runs
		t.Logf("icc %.1f: %.1f %%", icc, 100*got)
		assert.GreaterOrEqual(t, got, .93)
		assert.LessOrEqual(t, got, .97)
	}
}

// tenCases are 10 cases of 8 teeth.
func tenCases() (cluster []int) {
	for i := range 80 {
		cluster = append(cluster, i/8)
	}
	return cluster
}
