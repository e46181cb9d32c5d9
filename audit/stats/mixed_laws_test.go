package stats_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/mixed"
)

// FitRandomIntercept( does not see the order of rows or the names of cases, and
// carries the unit; equal weights change nothing but the residual's own unit.
func TestLawsOfMixedFits(t *testing.T) {
	m := statstest.LawModel(1)
	m.Weights = nil
	unit := statstest.Clone(m)
	unit.Weights = nil
	for i := range unit.Y {
		unit.Y[i] *= 25.4
	}
	weighted := statstest.Clone(m)
	weighted.Weights = make([]float64, len(m.Y))
	moved := stats.LinearModel{Names: m.Names}
	for _, i := range rand.New(rand.NewPCG(20, 1)).Perm(len(m.Y)) {
		moved.X, moved.Y = append(moved.X, m.X[3*i:3*i+3]...), append(moved.Y, m.Y[i])
		moved.Cluster = append(moved.Cluster, 3*((100-m.Cluster[i])/7)+1)
		weighted.Weights[i] = 4
	}
	for _, l := range []mixed.Likelihood{mixed.REML, mixed.ML} {
		fit := func(m stats.LinearModel) *mixed.MixedFit {
			f, err := mixed.FitRandomIntercept(m, l)
			require.NoError(t, err)
			require.Equal(t, stats.Converged, f.Status)
			return f
		}
		base, same, other, heavy := fit(m), fit(moved), fit(unit), fit(weighted)
		statstest.Near(t, base.Random, same.Random, 1e-6, 0, "order and names")
		statstest.Near(t, base.Residual, same.Residual, 1e-6, 0, "order and names")
		statstest.Near(t, 25.4*25.4*base.Random, other.Random, 1e-6, 0, "unit")
		statstest.Near(t, 25.4*25.4*base.Residual, other.Residual, 1e-6, 0, "unit")
		statstest.Near(t, base.Random, heavy.Random, 1e-6, 0, "weights")
		statstest.Near(t, 4*base.Residual, heavy.Residual, 1e-6, 0, "weights")
		for j, want := range base.Coef {
			statstest.Near(t, want, same.Coef[j], 1e-6, 1e-3, "order and names")
			statstest.Near(t, 25.4*want, other.Coef[j], 1e-6, 1e-3, "unit")
			statstest.Near(t, want, heavy.Coef[j], 1e-6, 1e-3, "weights")
		}
	}
}
