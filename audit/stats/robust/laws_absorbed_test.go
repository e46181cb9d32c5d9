package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
)

// FitAbsorbed( is FitLinear with a dummy for each group; order, labels, units and
// signs change nothing; a level added to a group changes nothing; equal weights
// make both roots one; without every case each estimate is that of a new fit; the
// leverages share one.
// Its length is that of the laws, which share one fit.
func TestLawsOfAbsorbed(t *testing.T) {
	for seed := range uint64(6) {
		for _, root := range []Root{WeightedRows, IdentityTarget} {
			m := absorbedData(seed, 25)
			m.Root = root
			f := absorbedFit(t, m)
			c := []float64{1, 0, 0}
			base := f.Contrast(c, .95)
			require.False(t, math.IsNaN(base.SE))

			wide := dummies(m)
			g, err := FitLinear(wide, stats.CR2)
			require.NoError(t, err)
			e := g.Contrast(statstest.Unit(len(wide.Names), 0), .95)
			assert.InEpsilon(t, e.Value, base.Value, 1e-9)
			assert.InEpsilon(t, e.SE, base.SE, 1e-8)
			assert.InEpsilon(t, e.DF, base.DF, 1e-6)

			moved := m.order(rand.New(rand.NewPCG(seed, 1)).Perm(len(m.Y)))
			for i := range moved.Y { // other labels, another unit, another level for each group
				moved.Y[i] = -3*moved.Y[i] + float64(moved.Group[i])
				moved.Group[i], moved.Cluster[i] = 7-5*moved.Group[i], 1000-31*moved.Cluster[i]
				moved.Weights[i] *= 4
			}
			h := absorbedFit(t, moved)
			e = h.Contrast(c, .95)
			assert.InEpsilon(t, -3*base.Value, e.Value, 1e-9)
			assert.InEpsilon(t, 3*base.SE, e.SE, 1e-8)
			assert.InEpsilon(t, base.DF, e.DF, 1e-6)
			assert.InDelta(t, base.P, e.P, 1e-9)
			assert.Equal(t, []int{base.N, base.Clusters}, []int{e.N, e.Clusters})

			wider := f.Contrast(c, .99)
			assert.True(t, wider.Low < base.Low && base.High < wider.High)

			total, n := 0.0, 0
			for _, one := range f.Influence(c) {
				total += one.Leverage
				n += one.Rows
				left, err := f.Without(one.Cluster)
				require.NoError(t, err)
				assert.InDelta(t, left.Contrast(c, .95).Value, one.Without, 1e-9)
			}
			assert.InDelta(t, 1, total, 1e-12)
			assert.Equal(t, base.N, n)

			m.Weights = nil
			m.Root = WeightedRows
			one := absorbedFit(t, m).Contrast(c, .95)
			m.Root = IdentityTarget
			other := absorbedFit(t, m).Contrast(c, .95)
			assert.Equal(t, one.SE, other.SE)
			m.Weights = make([]float64, len(m.Y))
			for i := range m.Weights { // all but equal: the other root by its own way
				m.Weights[i] = 1 + 1e-13*float64(i%2)
			}
			other = absorbedFit(t, m).Contrast(c, .95)
			assert.InEpsilon(t, one.SE, other.SE, 1e-8)
			assert.InEpsilon(t, one.DF, other.DF, 1e-6)
		}
	}
}

// dummies spells the groups out.
func dummies(m AbsorbedModel) stats.LinearModel {
	ids := slices.Compact(slices.Sorted(slices.Values(m.Group)))
	groups := len(ids)
	out := stats.LinearModel{Names: append([]string{}, m.Names...), Y: m.Y, Weights: m.Weights, Cluster: m.Cluster, InverseVariance: m.Root == WeightedRows}
	for range groups {
		out.Names = append(out.Names, "group")
	}
	p := len(m.Names)
	for i := range m.Y {
		row := make([]float64, groups)
		k, _ := slices.BinarySearch(ids, m.Group[i])
		row[k] = 1
		out.X = append(append(out.X, m.X[i*p:(i+1)*p]...), row...)
	}
	return out
}

// AverageOfCases( has the unit of its numerator and sees no order; cases of one
// size and plan make it the ratio of sums; rows of a case count once.
func TestLawsOfAverageOfCases(t *testing.T) {
	num, den, cluster := statstest.LawData(4)
	base, err := AverageOfCases(num, den, cluster, .95)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(1, 1))
	var num2, den2 []float64
	var cluster2 []int
	for _, i := range r.Perm(len(num)) {
		num2, den2, cluster2 = append(num2, -3*num[i]), append(den2, den[i]), append(cluster2, 50-2*cluster[i])
	}
	got, err := AverageOfCases(num2, den2, cluster2, .95)
	require.NoError(t, err)
	assert.InDelta(t, -3*base.Value, got.Value, 1e-12)
	assert.InDelta(t, 3*base.SE, got.SE, 1e-12)
	assert.InDelta(t, -3*base.Pooled.Value, got.Pooled.Value, 1e-12)
	assert.InDelta(t, base.Pooled.P, got.Pooled.P, 1e-10)
	num2, den2, cluster2 = append(num2, num2...), append(den2, den2...), append(cluster2, cluster2...)
	twice, err := AverageOfCases(num2, den2, cluster2, .95)
	require.NoError(t, err)
	assert.InDelta(t, got.Low, twice.Low, 1e-12)
	for i := range den {
		den[i] = 2
	}
	for i := range cluster {
		cluster[i] = i / 3
	}
	whole := len(num) / 3 * 3
	same, err := AverageOfCases(num[:whole], den[:whole], cluster[:whole], .95)
	require.NoError(t, err)
	assert.InDelta(t, 0, same.Pooled.Value, 1e-12)
	assert.True(t, math.IsNaN(same.Pooled.P))
	ratio, err := RatioOfSumsLinearised(num[:whole], den[:whole], cluster[:whole], .95)
	require.NoError(t, err)
	assert.InDelta(t, ratio.SE, same.SE, 1e-12)
}

// JointTest( of one contrast is its t test; of several it sees neither their order
// nor their unit, nor which basis of the same space is taken.
func TestLawsOfJointTests(t *testing.T) {
	m := absorbedData(8, 30)
	within, wide := absorbedFit(t, m), dummies(m)
	f, err := FitLinear(wide, stats.CR2)
	require.NoError(t, err)
	for p, fit := range map[int]interface {
		Contrast(c []float64, level float64) stats.Estimate
		JointTest(contrasts [][]float64) stats.JointTest
	}{3: within, len(wide.Names): f} {
		e := fit.Contrast(statstest.Unit(p, 0), .95)
		one := fit.JointTest([][]float64{statstest.Unit(p, 0)})
		assert.InEpsilon(t, e.Value*e.Value/e.SE/e.SE, one.F, 1e-9)
		assert.InEpsilon(t, e.DF, one.DF2, 1e-6)
		assert.InDelta(t, e.P, one.P, 1e-9)
		a, b := statstest.Unit(p, 0), statstest.Unit(p, 1)
		base := fit.JointTest([][]float64{a, b})
		sum := append([]float64(nil), a...)
		sum[1] = 5
		for _, other := range [][][]float64{{b, a}, {sum, b}} {
			got := fit.JointTest(other)
			assert.InEpsilon(t, base.F, got.F, 1e-8)
			assert.InEpsilon(t, base.DF2, got.DF2, 1e-6)
		}
	}
}
