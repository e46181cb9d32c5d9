package prop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

// Weil 1970 litters: survivors of live-born rats, as analysed by Rao & Scott
// 1992, Biometrics 48:577-585, table 1.
var (
	weilControl = [][2]int{
		{13, 13},
		{12, 12},
		{9, 9},
		{9, 9},
		{8, 8},
		{8, 8},
		{12, 13},
		{11, 12},
		{9, 10},
		{9, 10},
		{8, 9},
		{11, 13},
		{4, 5},
		{5, 7},
		{7, 10},
		{7, 10},
	}
	weilTreated = [][2]int{
		{12, 12},
		{11, 11},
		{10, 10},
		{9, 9},
		{10, 11},
		{9, 10},
		{9, 10},
		{8, 9},
		{8, 9},
		{4, 5},
		{7, 9},
		{4, 7},
		{5, 10},
		{3, 6},
		{3, 10},
		{0, 7},
	}
)

// expand turns counts into rows.
func expand(counts [][2]int) (success []bool, cluster []int) {
	for c, v := range counts {
		for i := range v[1] {
			success = append(success, i < v[0])
			cluster = append(cluster, c)
		}
	}
	return success, cluster
}

// Design effects printed by Rao & Scott 1992; the rest with R 4.2.2 and survey.
func TestLittersOfRaoAndScott(t *testing.T) {
	for _, c := range []struct {
		litters             [][2]int
		p, se, deff, effect float64
	}{
		{weilControl, .898734, .0266447, 1.232495, 128.195},
		{weilTreated, .772414, .0692261, 3.952861, 36.6823},
	} {
		success, cluster := expand(c.litters)
		e, err := ClusteredProportion(success, cluster, .95)
		require.NoError(t, err)
		assert.InDelta(t, c.p, e.Value, 5e-7)
		assert.InDelta(t, c.deff, e.DesignEffect, 5e-7)
		n := float64(e.N)
		assert.InDelta(t, c.effect, n/e.DesignEffect, 5e-4)
		assert.InDelta(t, c.se, math.Sqrt(c.p*(1-c.p)*e.DesignEffect/n), 5e-7)
		assert.InEpsilon(t, c.se, e.SE, .01) // CR2 close to it in 16 litters
		assert.True(t, e.Low > 0 && e.Low < e.Value && e.Value < e.High && e.High < 1)
	}
}

func TestProportionAtTheEdges(t *testing.T) {
	cluster := []int{1, 1, 1, 2, 2, 3, 3, 3, 4, 4, 5, 5}
	none := make([]bool, len(cluster))
	all := make([]bool, len(cluster))
	for i := range all {
		all[i] = true
	}
	e, err := ClusteredProportion(none, cluster, .95)
	require.NoError(t, err)
	f, err := ClusteredProportion(all, cluster, .95)
	require.NoError(t, err)
	assert.Zero(t, e.Low)
	assert.Equal(t, 1.0, f.High)
	assert.InDelta(t, e.High, 1-f.Low, 1e-12)
	// Not tighter than five independent cases would allow.
	assert.GreaterOrEqual(t, e.High, Wilson(0, 5, .95).High)
	assert.Less(t, e.High, .7)
	assert.Contains(t, statstest.WarningIDs(e.Warnings), "no-variation")

	one, err := ClusteredProportion([]bool{true, false}, []int{4, 4}, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(one.Low))
	assert.Equal(t, []string{"one-case"}, statstest.WarningIDs(one.Warnings))
	nothing, err := ClusteredProportion(nil, nil, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(nothing.Value))
	_, err = ClusteredProportion([]bool{true}, []int{1, 2}, .95)
	require.Error(t, err)
}

// One row a case is Wilson's interval, exactly.
func TestOneRowACaseIsWilson(t *testing.T) {
	success := []bool{true, false, false, true, false, false, false}
	e, err := ClusteredProportion(success, []int{7, 3, 9, 1, 4, 2, 8}, .95)
	require.NoError(t, err)
	w := Wilson(2, 7, .95)
	assert.Equal(t, w.Low, e.Low)
	assert.Equal(t, w.High, e.High)
}

// The linear-time degrees of freedom against the double sum they come from.
func TestProportionDegreesOfFreedom(t *testing.T) {
	success, cluster := expand(weilTreated)
	s := sumProportion(CountCases(success, cluster))
	for _, rho := range []float64{0, .1, .7, 1} {
		var total, trace, sq float64
		w := make([]float64, len(s.cases))
		for i, c := range s.cases {
			w[i] = (1-rho)*c.N + rho*c.N*c.N
			total += w[i]
		}
		for i, c := range s.cases {
			hi := c.N / s.n
			for j, d := range s.cases {
				hj := d.N / s.n
				cov := hi*hj*total - hi*w[j] - hj*w[i]
				if i == j {
					cov += w[i]
					trace += cov / (1 - hi)
				}
				sq += cov * cov / ((1 - hi) * (1 - hj))
			}
		}
		assert.InEpsilon(t, trace*trace/sq, s.satterthwaite(rho), 1e-10)
	}
	// rho 0 is the independence working model of ClusteredMean.
	num := make([]float64, len(success))
	for i := range num {
		num[i] = statstest.Indicator(success[i])
	}
	r, err := robust.ClusteredMean(num, cluster, .95)
	require.NoError(t, err)
	assert.InEpsilon(t, r.DF, s.satterthwaite(0), 1e-10)
}

// Cases of one size: cases less one, whatever the correlation. Else between
// that and Satterthwaite's, at the geometric mean.
func TestProportionIntervalDegreesOfFreedom(t *testing.T) {
	success, cluster := expand([][2]int{{1, 6}, {5, 6}, {3, 6}, {0, 6}, {4, 6}, {2, 6}, {6, 6}})
	e, err := ClusteredProportion(success, cluster, .95)
	require.NoError(t, err)
	assert.InDelta(t, 6, e.DF, 1e-9)
	success, cluster = expand(weilTreated)
	e, err = ClusteredProportion(success, cluster, .95)
	require.NoError(t, err)
	s := sumProportion(CountCases(success, cluster))
	satterthwaite := s.satterthwaite(s.anovaICC())
	assert.Less(t, satterthwaite, 14.9)
	assert.InDelta(t, e.DF/satterthwaite, 15/e.DF, 1e-12)
}

// One success never gives a lower upper limit than none, wherever it falls;
// cases that agree exactly still have an interval.
func TestProportionLimitsStaySound(t *testing.T) {
	for _, sizes := range [][]int{{8, 8, 8, 8, 8, 8, 8, 8}, {26, 2, 2, 2, 26, 2, 2, 2, 1}, {1, 1, 1, 1, 5}} {
		counts := make([][2]int, len(sizes))
		for i, n := range sizes {
			counts[i] = [2]int{0, n}
		}
		success, cluster := expand(counts)
		none, err := ClusteredProportion(success, cluster, .95)
		require.NoError(t, err)
		for i := range counts {
			counts[i][0] = 1
			success, cluster = expand(counts)
			one, err := ClusteredProportion(success, cluster, .95)
			require.NoError(t, err)
			assert.GreaterOrEqual(t, one.High, none.High, "%v case %d", sizes, i)
			counts[i][0] = 0
		}
	}
	success, cluster := expand([][2]int{{1, 4}, {1, 4}, {1, 4}, {1, 4}, {1, 4}, {1, 4}})
	e, err := ClusteredProportion(success, cluster, .95)
	require.NoError(t, err)
	assert.Less(t, e.Low, .2)
	assert.Greater(t, e.High, .3)
}

func BenchmarkProportion100k(b *testing.B) {
	_, _, cluster, success := statstest.BenchData()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ClusteredProportion(success, cluster, .95); err != nil {
			b.Fatal(err)
		}
	}
}
