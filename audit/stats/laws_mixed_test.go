package stats_test

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/resample"
	"shortfall/audit/stats/robust"
)

// Adjusted means: swapping arms mirrors the difference and turns the ratio
// over, for linear and count models; MeanRow does not see the order of rows.
func TestLawsOfAdjustedMeans(t *testing.T) {
	m := statstest.LawModel(2)
	first, second, counts := []float64{}, []float64{}, make([]float64, len(m.Y))
	for i, y := range m.Y {
		first, second = append(first, 1, 1, m.X[3*i+2]), append(second, 1, 0, m.X[3*i+2])
		counts[i] = math.Round(y)
	}
	a, err := robust.MeanRow(first, 3, nil)
	require.NoError(t, err)
	b, err := robust.MeanRow(second, 3, nil)
	require.NoError(t, err)
	back := []float64{}
	for i := len(m.Y) - 1; i >= 0; i-- {
		back = append(back, first[3*i:3*i+3]...)
	}
	same, err := robust.MeanRow(back, 3, nil)
	require.NoError(t, err)
	assert.InDeltaSlice(t, a, same, 1e-12)
	linear, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	mirrored(t, linear.AdjustedMeans(a, b, .95), linear.AdjustedMeans(b, a, .95))
	count, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, glm.Poisson, stats.CR2)
	require.NoError(t, err)
	x, err := count.AdjustedMeans(first, second, nil, .95)
	require.NoError(t, err)
	y, err := count.AdjustedMeans(second, first, nil, .95)
	require.NoError(t, err)
	mirrored(t, x, y)

	e := linear.Contrast([]float64{0, 1, 0}, .95)
	minus := linear.Contrast([]float64{0, -1, 0}, .95)
	p, err := decide.TestEquivalence(e, -.5, 1.5, .05)
	require.NoError(t, err)
	q, err := decide.TestEquivalence(minus, -1.5, .5, .05)
	require.NoError(t, err)
	assert.InDelta(t, p.P, q.P, 1e-12)
	assert.Equal(t, p.Equivalent, q.Equivalent)
	assert.Equal(t, p.Equivalent, p.IntervalLow > -.5 && p.IntervalHigh < 1.5)
}

func mirrored(t *testing.T, a, b robust.AdjustedMeans) {
	t.Helper()
	assert.InDelta(t, a.First.Value, b.Second.Value, 1e-10)
	assert.InDelta(t, a.Difference.Low, -b.Difference.High, 1e-9)
	assert.InDelta(t, a.Difference.P, b.Difference.P, 1e-9)
	assert.InDelta(t, a.Ratio.Value, 1/b.Ratio.Value, 1e-9)
	assert.InDelta(t, a.Ratio.Low, 1/b.Ratio.High, 1e-8)
	assert.InDelta(t, a.Ratio.P, b.Ratio.P, 1e-9)
	assert.Less(t, a.Ratio.Low, a.Ratio.Value)
}

// The general bootstrap gives what its special form gives, on any number of
// workers; a statistic in another unit has limits in it.
func TestLawsOfBootstrapClusters(t *testing.T) {
	num, den, cluster := statstest.LawData(15)
	var sums [][2]float64
	bycase.Visit(cluster, num, den, func(a, b float64, _ int) { sums = append(sums, [2]float64{a, b}) })
	slices.SortFunc(sums, func(a, b [2]float64) int { return cmp.Compare(a[1], b[1]) }) // the order of the special form
	statistic := func(unit float64) func() func([]int) float64 {
		return func() func([]int) float64 {
			return func(picked []int) float64 {
				var a, b float64
				for _, c := range picked {
					a += sums[c][0]
					b += sums[c][1]
				}
				return unit * a / b
			}
		}
	}
	s := resample.DefaultBootstrap()
	special, err := robust.BootstrapRatioOfSums(num, den, cluster, .95, s)
	require.NoError(t, err)
	for _, workers := range []int{1, 3} {
		s.Workers = workers
		general, err := resample.BootstrapClusters(len(sums), statistic(1), .95, s)
		require.NoError(t, err)
		inch, err := resample.BootstrapClusters(len(sums), statistic(25.4), .95, s)
		require.NoError(t, err)
		for i, want := range []float64{special.Value, special.Low, special.High} {
			assert.InDelta(t, want, []float64{general.Value, general.Low, general.High}[i], 1e-12)
			assert.InDelta(t, 25.4*want, []float64{inch.Value, inch.Low, inch.High}[i], 1e-9)
		}
	}
}
