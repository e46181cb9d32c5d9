package stats

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mixedNumbers are everything a mixed fit says beside its contrasts, in the
// order of cases by id.
func mixedNumbers(t *testing.T, m LinearModel, slope []float64, ids []int) (scaled, free []float64) {
	t.Helper()
	var f *MixedFit
	var err error
	if slope == nil {
		f, err = FitRandomIntercept(m, REML)
	} else {
		f, err = FitRandomSlope(m, slope, REML)
	}
	require.NoError(t, err)
	require.Equal(t, Converged, f.Status)
	effects := map[int]RandomEffect{}
	for _, e := range f.RandomEffects() {
		effects[e.Cluster] = e
	}
	for _, id := range ids {
		e := effects[id]
		scaled = append(append(append(scaled, e.Value...), e.SE...), e.ConditionalSD...)
		mean, err := f.ClusterMean(id, []float64{1, .5, 2}, 2, .95)
		require.NoError(t, err)
		scaled = append(scaled, flat(mean)...)
	}
	for _, c := range []Component{ResidualSD, InterceptSD} {
		e, err := f.ComponentInterval(c, .9)
		require.NoError(t, err)
		scaled = append(scaled, e.Value, e.Low, e.High)
	}
	b := f.RandomEffectTest()
	j := f.JointTest([][]float64{{0, 1, 0}, {0, 0, 1}})
	return scaled, []float64{f.ICC(), b.Statistic, b.P, j.F, j.DF2, j.P}
}

// Predictions, component intervals, the joint test and the test of the random
// effect do not see the order of rows or the names of cases, and carry the unit.
func TestLawsOfMixedFits(t *testing.T) {
	m := lawModel(1)
	m.Weights = nil
	r := rand.New(rand.NewPCG(20, 1))
	lift := map[int]float64{}
	for i, c := range m.Cluster { // so that slopes differ too
		if _, seen := lift[c]; !seen {
			lift[c] = 2 * r.NormFloat64()
		}
		m.Y[i] += lift[c] * m.X[3*i+2]
	}
	ids, renamedIDs := []int{}, []int{}
	for c := range 14 {
		ids, renamedIDs = append(ids, 100-7*c), append(renamedIDs, 3*c+1)
	}
	perm := r.Perm(len(m.Y))
	moved := LinearModel{Names: m.Names}
	unit := clone(m)
	unit.Weights = nil
	for i := range unit.Y {
		unit.Y[i] *= 25.4
	}
	for _, i := range perm {
		moved.X, moved.Y = append(moved.X, m.X[3*i:3*i+3]...), append(moved.Y, m.Y[i])
		moved.Cluster = append(moved.Cluster, 3*((100-m.Cluster[i])/7)+1)
	}
	for name, slope := range map[string]bool{"intercept": false, "slope": true} {
		t.Run(name, func(t *testing.T) {
			var z, movedZ []float64
			if slope {
				z, movedZ = column(m, 2), column(moved, 2)
			}
			base, free := mixedNumbers(t, m, z, ids)
			same, sameFree := mixedNumbers(t, moved, movedZ, renamedIDs)
			other, otherFree := mixedNumbers(t, unit, z, ids)
			for i, want := range base {
				near(t, want, same[i], 1e-4, .1, "order and names", i)
				near(t, 25.4*want, other[i], 1e-4, 2.54, "unit", i)
			}
			for i, want := range free {
				near(t, want, sameFree[i], 1e-4, 1e-6, "order and names", i)
				near(t, want, otherFree[i], 1e-4, 1e-6, "unit", i)
			}
		})
	}
}

// Adjusted means: swapping arms mirrors the difference and turns the ratio
// over, for linear and count models; MeanRow does not see the order of rows.
func TestLawsOfAdjustedMeans(t *testing.T) {
	m := lawModel(2)
	first, second, counts := []float64{}, []float64{}, make([]float64, len(m.Y))
	for i, y := range m.Y {
		first, second = append(first, 1, 1, m.X[3*i+2]), append(second, 1, 0, m.X[3*i+2])
		counts[i] = math.Round(y)
	}
	a, err := MeanRow(first, 3, nil)
	require.NoError(t, err)
	b, err := MeanRow(second, 3, nil)
	require.NoError(t, err)
	back := []float64{}
	for i := len(m.Y) - 1; i >= 0; i-- {
		back = append(back, first[3*i:3*i+3]...)
	}
	same, err := MeanRow(back, 3, nil)
	require.NoError(t, err)
	assert.InDeltaSlice(t, a, same, 1e-12)
	linear, err := FitLinear(m, CR2)
	require.NoError(t, err)
	mirrored(t, linear.AdjustedMeans(a, b, .95), linear.AdjustedMeans(b, a, .95))
	count, err := FitCount(CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, Poisson, CR2)
	require.NoError(t, err)
	x, err := count.AdjustedMeans(first, second, nil, .95)
	require.NoError(t, err)
	y, err := count.AdjustedMeans(second, first, nil, .95)
	require.NoError(t, err)
	mirrored(t, x, y)

	e := linear.Contrast([]float64{0, 1, 0}, .95)
	minus := linear.Contrast([]float64{0, -1, 0}, .95)
	p, err := TestEquivalence(e, -.5, 1.5, .05)
	require.NoError(t, err)
	q, err := TestEquivalence(minus, -1.5, .5, .05)
	require.NoError(t, err)
	assert.InDelta(t, p.P, q.P, 1e-12)
	assert.Equal(t, p.Equivalent, q.Equivalent)
	assert.Equal(t, p.Equivalent, p.IntervalLow > -.5 && p.IntervalHigh < 1.5)
}

func mirrored(t *testing.T, a, b AdjustedMeans) {
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
	num, den, cluster := lawData(15)
	var sums [][2]float64
	visitClusters(cluster, num, den, func(a, b float64, _ int) { sums = append(sums, [2]float64{a, b}) })
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
	s := DefaultBootstrap()
	special, err := BootstrapRatioOfSums(num, den, cluster, .95, s)
	require.NoError(t, err)
	for _, workers := range []int{1, 3} {
		s.Workers = workers
		general, err := BootstrapClusters(len(sums), statistic(1), .95, s)
		require.NoError(t, err)
		inch, err := BootstrapClusters(len(sums), statistic(25.4), .95, s)
		require.NoError(t, err)
		for i, want := range []float64{special.Value, special.Low, special.High} {
			assert.InDelta(t, want, []float64{general.Value, general.Low, general.High}[i], 1e-12)
			assert.InDelta(t, 25.4*want, []float64{inch.Value, inch.Low, inch.High}[i], 1e-9)
		}
	}
}
