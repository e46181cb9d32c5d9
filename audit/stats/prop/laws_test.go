package prop

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
)

// Every interval of a count widens with the level and stays where it must.
func TestCountIntervalsWiden(t *testing.T) {
	for x := 0; x <= 12; x++ {
		for name, f := range map[string]func(float64) stats.Estimate{
			"wilson":     func(l float64) stats.Estimate { return Wilson(x, 12, l) },
			"continuity": func(l float64) stats.Estimate { return WilsonContinuity(x, 12, l) },
			"exact":      func(l float64) stats.Estimate { return ClopperPearson(x, 12, l) },
			"jeffreys":   func(l float64) stats.Estimate { return Jeffreys(x, 12, l) },
			"difference": func(l float64) stats.Estimate { return NewcombeDifference(x, 12, 5, 9, l) },
			"garwood":    func(l float64) stats.Estimate { return Garwood(x, l) },
		} {
			last := -1.0
			for _, level := range []float64{.5, .9, .99} {
				e := f(level)
				assert.GreaterOrEqual(t, e.High-e.Low, last, "%s %d", name, x)
				last = e.High - e.Low
				if name != "difference" {
					assert.GreaterOrEqual(t, e.Low, 0.0)
				}
				if name != "difference" && name != "garwood" {
					assert.LessOrEqual(t, e.High, 1.0)
				}
			}
		}
	}
}

// McNemar mirrors; P values stay within 0 to 1, and the mid-P is not above the
// exact one. The clustered tests of shares do not see order or names of cases.
func TestLawsOfShareTests(t *testing.T) {
	for b := 0; b <= 12; b++ {
		for c := 0; c <= 12; c++ {
			x, err := McNemar(b, c)
			require.NoError(t, err)
			y, err := McNemar(c, b)
			require.NoError(t, err)
			assert.Equal(t, [4]float64{x.P, x.PContinuity, x.PExact, x.PMid}, [4]float64{y.P, y.PContinuity, y.PExact, y.PMid})
			assert.LessOrEqual(t, x.PMid, x.PExact+1e-15)
			odds, err := McNemarOddsRatio(b, c, .95)
			require.NoError(t, err)
			over, err := McNemarOddsRatio(c, b, .95)
			require.NoError(t, err)
			if b > 0 && c > 0 { // turned over
				statstest.Near(t, 1/odds.Value, over.Value, 1e-12, 0)
				statstest.Near(t, 1/odds.Low, over.High, 1e-9, 0)
				assert.Equal(t, odds.P < .05, odds.Low > 1 || odds.High < 1)
			}
			for _, p := range []float64{x.P, x.PContinuity, x.PExact, x.PMid} {
				assert.True(t, p > 0 && p <= 1, "%d %d %v", b, c, p)
			}
		}
	}
	r := rand.New(rand.NewPCG(13, 1))
	s1, c1 := statstest.BetaBinomialCases(r, 12, .7, .2, statstest.CoverageDesigns["unbalanced"])
	s2, c2 := statstest.BetaBinomialCases(r, 9, .5, .2, statstest.CoverageDesigns["balanced"])
	slices.Reverse(s1)
	renamed := slices.Clone(c1)
	for i := range renamed {
		renamed[i] = 900 - 7*c1[i]
	}
	slices.Reverse(renamed)
	back := slices.Clone(s1)
	slices.Reverse(back)
	for name, test := range map[string]func(...Outcomes) (ChiSquareTest, error){"Rao-Scott": RaoScottTest, "Donner": DonnerTest} {
		x, err := test(Outcomes{back, c1}, Outcomes{s2, c2})
		require.NoError(t, err)
		y, err := test(Outcomes{s2, c2}, Outcomes{s1, renamed})
		require.NoError(t, err)
		assert.InDelta(t, x.Statistic, y.Statistic, 1e-10, name)
		assert.True(t, x.P > 0 && x.P < 1, name)
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
