package stats_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/nonpar"
	"shortfall/audit/stats/prop"
	"shortfall/audit/stats/robust"
)

// The laws below are written once and run over every method of one shape: an
// estimate of clustered rows (num, den, case).
type clusteredMethod struct {
	name string
	// unit: multiplying num by k multiplies the estimate by k. Shares have none.
	unit bool
	// swapped is the mirrored data and the mirrored value, where there is one.
	share bool
	run   func(num, den []float64, cluster []int, level float64) (stats.Estimate, error)
}

func clusteredMethods() []clusteredMethod {
	return []clusteredMethod{
		{name: "RatioOfSums", unit: true, run: robust.RatioOfSums},
		{name: "RatioOfSumsLinearised", unit: true, run: robust.RatioOfSumsLinearised},
		{name: "RatioOfSumsFieller", unit: true, run: func(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
			s, err := robust.RatioOfSumsFieller(num, den, cluster, level)
			return s.Estimate, err
		}},
		{name: "ClusteredMean", unit: true, run: func(num, _ []float64, cluster []int, level float64) (stats.Estimate, error) {
			return robust.ClusteredMean(num, cluster, level)
		}},
		{name: "ClusteredProportion", share: true, run: func(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
			success := make([]bool, len(num))
			for i := range num {
				success[i] = num[i] > .6*den[i]
			}
			p, err := prop.ClusteredProportion(success, cluster, level)
			return p.Estimate, err
		}},
	}
}

func TestLawsOfClusteredMethods(t *testing.T) {
	num, den, cluster := statstest.LawData(1)
	before := append([]float64(nil), num...)
	for _, m := range clusteredMethods() {
		t.Run(m.name, func(t *testing.T) {
			base, err := m.run(num, den, cluster, .95)
			require.NoError(t, err)
			require.Less(t, base.Low, base.Value)
			require.Greater(t, base.High, base.Value)
			orderAndLabels(t, m, base, num, den, cluster)
			widens(t, m, num, den, cluster)
			doubling(t, m, base, num, den, cluster)
			if m.unit {
				unitsAndSigns(t, m, base, num, den, cluster)
			}
			if m.share {
				assert.GreaterOrEqual(t, base.Low, 0.0)
				assert.LessOrEqual(t, base.High, 1.0)
			}
		})
	}
	assert.Equal(t, before, num, "arguments are never changed")
}

// Neither the order of rows nor the names of cases change anything.
func orderAndLabels(t *testing.T, m clusteredMethod, base stats.Estimate, num, den []float64, cluster []int) {
	perm := rand.New(rand.NewPCG(4, 4)).Perm(len(num))
	n2, d2, c2, dense := make([]float64, len(num)), make([]float64, len(num)), make([]int, len(num)), make([]int, len(num))
	for i, p := range perm {
		n2[i], d2[i] = num[p], den[p]
		dense[i] = cluster[p]
		c2[i] = -7_000_000 + 100_003*cluster[p] // too sparse for an array
	}
	for name, ids := range map[string][]int{"dense": dense, "sparse": c2} {
		got, err := m.run(n2, d2, ids, .95)
		require.NoError(t, err)
		statstest.SameEstimate(t, base, got, 1e-9, "order, "+name+" ids")
	}
	for i := range c2 {
		c2[i] = (dense[i]*7 + 3) % 24 // a permutation of the names
	}
	got, err := m.run(n2, d2, c2, .95)
	require.NoError(t, err)
	statstest.SameEstimate(t, base, got, 1e-9, "renamed cases")
}

func widens(t *testing.T, m clusteredMethod, num, den []float64, cluster []int) {
	last := 0.0
	for _, level := range []float64{.5, .8, .9, .95, .99} {
		e, err := m.run(num, den, cluster, level)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, e.High-e.Low, last, "level %v", level)
		last = e.High - e.Low
	}
}

// Twice the cases, each a copy: the error shrinks by sqrt 2, up to the factor
// of degrees of freedom, sqrt((m-1)/(m-1/2)) at most.
func doubling(t *testing.T, m clusteredMethod, base stats.Estimate, num, den []float64, cluster []int) {
	if math.IsNaN(base.SE) {
		return
	}
	n2, d2 := append(append([]float64{}, num...), num...), append(append([]float64{}, den...), den...)
	c2 := append([]int{}, cluster...)
	for _, c := range cluster {
		c2 = append(c2, 1000+c)
	}
	got, err := m.run(n2, d2, c2, .95)
	require.NoError(t, err)
	assert.InEpsilon(t, math.Sqrt2, base.SE/got.SE, .06)
	assert.InDelta(t, base.Value, got.Value, 1e-12)
}

func unitsAndSigns(t *testing.T, m clusteredMethod, base stats.Estimate, num, den []float64, cluster []int) {
	scaled, negative := make([]float64, len(num)), make([]float64, len(num))
	for i, v := range num {
		scaled[i], negative[i] = 25.4*v, -v
	}
	got, err := m.run(scaled, den, cluster, .95)
	require.NoError(t, err)
	want := base
	want.Value, want.SE, want.Low, want.High = 25.4*base.Value, 25.4*base.SE, 25.4*base.Low, 25.4*base.High
	statstest.SameEstimate(t, want, got, 1e-6, "unit")
	got, err = m.run(negative, den, cluster, .95)
	require.NoError(t, err)
	want = base
	want.Value, want.Low, want.High = -base.Value, -base.High, -base.Low
	statstest.SameEstimate(t, want, got, 1e-6, "sign")
}

// Swapping arms mirrors every two-arm method, and every P lies within 0 to 1.
func TestSwappingArmsMirrors(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 60 {
		n1, n2 := 2+r.IntN(9), 2+r.IntN(9)
		a, b := make([]float64, n1), make([]float64, n2)
		for i := range a {
			a[i] = float64(r.IntN(6)) // ties
		}
		for i := range b {
			b[i] = float64(r.IntN(6))
		}
		d, m := make([]float64, n1), make([]float64, n1)
		for i := range d {
			d[i] = float64(r.IntN(9) - 4)
			m[i] = -d[i]
		}
		cluster := make([]int, n1)
		for i := range cluster {
			cluster[i] = r.IntN(4)
		}
		c, err := nonpar.ClusteredSignedRank(d, cluster)
		require.NoError(t, err)
		e, err := nonpar.ClusteredSignedRank(m, cluster)
		require.NoError(t, err)
		assert.InDelta(t, c.P, e.P, 1e-14)
		assert.True(t, c.P > 0 && c.P <= 1)
		assert.InDelta(t, confound.StandardizedMeanDifference(a, b), -confound.StandardizedMeanDifference(b, a), 1e-14)
		o, err := confound.Overlap(a, b, nil, nil, confound.DefaultOverlap())
		require.NoError(t, err)
		w, err := confound.Overlap(b, a, nil, nil, confound.DefaultOverlap())
		require.NoError(t, err)
		assert.Equal(t, o.Enough, w.Enough)
		assert.Equal(t, o.ShareA, w.ShareB)
	}
}

// Relabelling success as failure mirrors a share; agreement of b with a
// mirrors that of a with b; both are the same whatever is added to both.
func TestMirrorsOfSharesAndReadings(t *testing.T) {
	num, den, cluster := statstest.LawData(3)
	yes, no := make([]bool, len(num)), make([]bool, len(num))
	for i := range num {
		yes[i] = num[i] > .5*den[i]
		no[i] = !yes[i]
	}
	a, err := prop.ClusteredProportion(yes, cluster, .95)
	require.NoError(t, err)
	b, err := prop.ClusteredProportion(no, cluster, .95)
	require.NoError(t, err)
	assert.InDelta(t, a.Low, 1-b.High, 1e-12)
	assert.InDelta(t, a.High, 1-b.Low, 1e-12)
	assert.InDelta(t, a.DesignEffect, b.DesignEffect, 1e-9)

	x, err := agree.Agreement(num, den, .95)
	require.NoError(t, err)
	y, err := agree.Agreement(den, num, .95)
	require.NoError(t, err)
	assert.InDelta(t, x.Bias.Value, -y.Bias.Value, 1e-12)
	assert.InDelta(t, x.LowerLimit.Low, -y.UpperLimit.High, 1e-12)
	assert.InDelta(t, x.Dahlberg.Value, y.Dahlberg.Value, 1e-12)
	assert.InDelta(t, x.ICC.Value, y.ICC.Value, 1e-12)
	shifted, shifted2 := make([]float64, len(num)), make([]float64, len(num))
	for i := range num {
		shifted[i], shifted2[i] = num[i]+100, den[i]+100
	}
	z, err := agree.Agreement(shifted, shifted2, .95)
	require.NoError(t, err)
	assert.InDelta(t, x.MethodOfMoments.Value, z.MethodOfMoments.Value, 1e-10)
	assert.InDelta(t, x.ICC.Value, z.ICC.Value, 1e-9)
}
