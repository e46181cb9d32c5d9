package mixed

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
)

// mixedNumbers are everything a mixed fit says beside its contrasts, in the
// order of cases by id.
func mixedNumbers(t *testing.T, m stats.LinearModel, slope []float64, ids []int) (scaled, free []float64) {
	t.Helper()
	var f *MixedFit
	var err error
	if slope == nil {
		f, err = FitRandomIntercept(m, REML)
	} else {
		f, err = FitRandomSlope(m, slope, REML)
	}
	require.NoError(t, err)
	require.Equal(t, stats.Converged, f.Status)
	effects := map[int]RandomEffect{}
	for _, e := range f.RandomEffects() {
		effects[e.Cluster] = e
	}
	for _, id := range ids {
		e := effects[id]
		scaled = append(append(append(scaled, e.Value...), e.SE...), e.ConditionalSD...)
		mean, err := f.ClusterMean(id, []float64{1, .5, 2}, 2, .95)
		require.NoError(t, err)
		scaled = append(scaled, statstest.Flat(mean)...)
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
	m := statstest.LawModel(1)
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
	moved := stats.LinearModel{Names: m.Names}
	unit := statstest.Clone(m)
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
				z, movedZ = statstest.Column(m, 2), statstest.Column(moved, 2)
			}
			base, free := mixedNumbers(t, m, z, ids)
			same, sameFree := mixedNumbers(t, moved, movedZ, renamedIDs)
			other, otherFree := mixedNumbers(t, unit, z, ids)
			for i, want := range base {
				statstest.Near(t, want, same[i], 1e-4, .1, "order and names", i)
				statstest.Near(t, 25.4*want, other[i], 1e-4, 2.54, "unit", i)
			}
			for i, want := range free {
				statstest.Near(t, want, sameFree[i], 1e-4, 1e-6, "order and names", i)
				statstest.Near(t, want, otherFree[i], 1e-4, 1e-6, "unit", i)
			}
		})
	}
}
