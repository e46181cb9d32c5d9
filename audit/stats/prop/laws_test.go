package prop

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
)

// Every interval of a count widens with the level and stays where it must.
func TestCountIntervalsWiden(t *testing.T) {
	for x := 0; x <= 12; x++ {
		for name, f := range map[string]func(float64) stats.Estimate{
			"wilson":  func(l float64) stats.Estimate { return Wilson(x, 12, l) },
			"garwood": func(l float64) stats.Estimate { return Garwood(x, l) },
		} {
			last := -1.0
			for _, level := range []float64{.5, .9, .99} {
				e := f(level)
				assert.GreaterOrEqual(t, e.High-e.Low, last, "%s %d", name, x)
				last = e.High - e.Low
				assert.GreaterOrEqual(t, e.Low, 0.0)
				if name != "garwood" {
					assert.LessOrEqual(t, e.High, 1.0)
				}
			}
		}
	}
}

// The design effect of the limits is never below 1: cases that agree better than
// chance, as teeth shared out evenly do, give Wilson's limits of as many
// independent teeth and no tighter ones.
func TestClusteringNeverMakesSharesSteadier(t *testing.T) {
	var success []bool
	var cluster []int
	for c := range 20 { // one of four in every case
		for k := range 4 {
			success, cluster = append(success, k == 0), append(cluster, c)
		}
	}
	success[0], success[1], success[2] = true, true, false // but for one
	p, err := ClusteredProportion(success, cluster, .95)
	require.NoError(t, err)
	assert.Less(t, p.DesignEffect, .2)
	assert.Equal(t, 80.0, p.EffectiveN)
	w := Wilson(21, 80, .95)
	assert.True(t, p.Low <= w.Low && w.High <= p.High)
	r := rand.New(rand.NewPCG(1, 8))
	for range 500 {
		for i := range success {
			success[i] = r.IntN(3) == 0
		}
		p, err := ClusteredProportion(success, cluster, .95)
		require.NoError(t, err)
		assert.LessOrEqual(t, p.EffectiveN, 80.0)
	}
}

// Counts of cases give the share that their rows give; a count that no rows have is refused.
func TestCountsOfCasesGiveTheShareOfRows(t *testing.T) {
	success, cluster := []bool{true, false, false, true, true, false, true, false}, []int{3, 3, 3, 5, 5, 9, 9, 12}
	want, err := ClusteredProportion(success, cluster, .95)
	require.NoError(t, err)
	got, err := ProportionOfCases([]CaseCount{{1, 3}, {2, 2}, {1, 2}, {0, 1}}, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(want.P) && math.IsNaN(got.P))
	want.P, got.P = 0, 0
	assert.Equal(t, want, got)
	for _, c := range []CaseCount{{0, 0}, {2, 1}, {-1, 1}, {math.NaN(), 1}} {
		_, err := ProportionOfCases([]CaseCount{{1, 3}, c}, .95)
		assert.Error(t, err)
	}
}
