package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// Nominal 95 % intervals of the ratio of sums cover 93 to 97 %. Plans are
// log-normal, expression .6 with a spread of .35, shared within a case by icc.
func TestCoverageOfRatioOfSums(t *testing.T) {
	runs := statstest.CoverageRuns()
	slack := statstest.CoverageSlack(runs)
	linearisedLow := 1.0
	statstest.EachCoverageSetting(func(name string, cases int, icc float64, teeth func(*rand.Rand, int) int) {
		r := rand.New(rand.NewPCG(1, uint64(cases)))
		var hit, hitLinearised int
		for range runs {
			var num, den []float64
			var cluster []int
			for c := range cases {
				shared := r.NormFloat64() * math.Sqrt(icc)
				for range teeth(r, c) {
					plan := math.Exp(.6 * r.NormFloat64())
					num = append(num, plan*(.6+.35*(shared+math.Sqrt(1-icc)*r.NormFloat64())))
					den = append(den, plan)
					cluster = append(cluster, c)
				}
			}
			e, err := RatioOfSums(num, den, cluster, .95)
			require.NoError(t, err)
			l, err := RatioOfSumsLinearised(num, den, cluster, .95)
			require.NoError(t, err)
			hit += statstest.Covers(e, .6)
			hitLinearised += statstest.Covers(l, .6)
		}
		got := float64(hit) / float64(runs)
		t.Logf("%-10s %3d cases icc %.1f: %.1f %% (linearised %.1f %%)", name, cases, icc, 100*got, 100*float64(hitLinearised)/float64(runs))
		assert.InDelta(t, .95, got, .02+slack-.005, "%s %d cases icc %v", name, cases, icc)
		linearisedLow = min(linearisedLow, float64(hitLinearised)/float64(runs))
	})
	// The reason CR2 is the default; were this to pass, the simulation would be blunt.
	assert.Less(t, linearisedLow, .90)
}
