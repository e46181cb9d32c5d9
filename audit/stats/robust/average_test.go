package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// t.test(c(.5, .8, .2)) of R 4.2.2, and by hand: sums 11/20 = .55 less .5.
func TestAverageOfCasesByHand(t *testing.T) {
	num, den := []float64{2, 3, 4, .5, 1.5}, []float64{4, 6, 5, 2.5, 2.5}
	cluster := []int{1, 1, 2, 3, 3}
	num[4] = .5 // .5, .8, .2
	got, err := AverageOfCases(num, den, cluster, .95)
	require.NoError(t, err)
	assert.InDelta(t, .5, got.Value, 1e-12)
	assert.InDelta(t, -.2452413, got.Low, 1e-7)
	assert.InDelta(t, 1.2452413, got.High, 1e-7)
	assert.InDelta(t, 10./20-.5, got.Pooled.Value, 1e-12)
	assert.Equal(t, 3, got.Clusters)
}

// Where poor responders have the more movements the ratio of sums misses the
// average patient, whose own interval holds it; the difference is seen. Where they
// do not, it is seen in 5 %. Invented data.
func TestAverageCaseIsCovered(t *testing.T) {
	runs := statstest.CoverageRuns()
	r := rand.New(rand.NewPCG(1, 9))
	practice := func(informative float64) (num, den []float64, cluster []int) {
		for c := range 40 {
			response := .15 * r.NormFloat64()
			teeth := 3 + r.IntN(5)
			if response < 0 {
				teeth += int(informative * 20)
			}
			for range teeth {
				plan := 1 + 2*r.Float64()
				num, den, cluster = append(num, plan*(.6+response+.2*r.NormFloat64())), append(den, plan), append(cluster, c)
			}
		}
		return num, den, cluster
	}
	held, pooledHeld, seen, null := 0, 0, 0, 0
	for range runs {
		num, den, cluster := practice(1)
		got, err := AverageOfCases(num, den, cluster, .95)
		require.NoError(t, err)
		held += statstest.Covers(got.Estimate, .6)
		seen += 1 - statstest.Covers(got.Pooled, 0)
		pooled, err := RatioOfSums(num, den, cluster, .95)
		require.NoError(t, err)
		pooledHeld += statstest.Covers(pooled, .6)
		num, den, cluster = practice(0)
		got, err = AverageOfCases(num, den, cluster, .95)
		require.NoError(t, err)
		null += 1 - statstest.Covers(got.Pooled, 0)
	}
	n := float64(runs)
	t.Logf("average patient covered %.3f by its own interval, %.3f by the ratio of sums; difference seen %.3f, %.3f without one", float64(held)/n, float64(pooledHeld)/n, float64(seen)/n, float64(null)/n)
	assert.InDelta(t, .95, float64(held)/n, .01+statstest.CoverageSlack(runs))
	assert.Less(t, float64(pooledHeld)/n, .6)
	assert.Greater(t, float64(seen)/n, .8)
	assert.InDelta(t, .05, float64(null)/n, .02+statstest.CoverageSlack(runs))
}

func TestAverageOfCasesAtItsEdges(t *testing.T) {
	got, err := AverageOfCases([]float64{1, 2, 3}, []float64{0, 4, 5}, []int{1, 2, 3}, .95)
	require.NoError(t, err)
	assert.InDelta(t, .55, got.Value, 1e-12)
	assert.Contains(t, statstest.WarningIDs(got.Warnings), "cases-without-ratio")
	got, err = AverageOfCases(nil, nil, nil, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(got.Value))
	got, err = AverageOfCases([]float64{1, 2}, []float64{2, 4}, nil, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-spread"}, statstest.WarningIDs(got.Warnings))
	got, err = AverageOfCases([]float64{1, 2}, []float64{2, 3}, []int{4, 4}, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"one-case"}, statstest.WarningIDs(got.Warnings))
	assert.Equal(t, []string{"one-case"}, statstest.WarningIDs(got.Pooled.Warnings))
	_, err = AverageOfCases([]float64{1}, []float64{1}, nil, 2)
	assert.Error(t, err)
}

// Nine cases are few and ten are not; under five degrees of freedom is said.
func TestFewCasesAreSaidBelowTen(t *testing.T) {
	var x []float64
	for n := 1; n <= 12; n++ {
		x = append(x, float64(n*n%7))
		e, err := ClusteredMean(x, nil, .95)
		require.NoError(t, err)
		if n < 3 {
			continue
		}
		ids := statstest.WarningIDs(e.Warnings)
		assert.Equal(t, n < 10, slices.Contains(ids, "few-clusters"), n)
		assert.Equal(t, n-1 < 5, slices.Contains(ids, "few-df"), n)
	}
}
