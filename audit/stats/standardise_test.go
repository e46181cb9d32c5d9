package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

// arm is the design with one column set to v in every row.
func arm(x []float64, p, column int, v float64) []float64 {
	out := append([]float64(nil), x...)
	for i := column; i < len(out); i += p {
		out[i] = v
	}
	return out
}

// Standardised means of girls and boys, R: predictions averaged by hand with
// clubSandwich's CR2 (models.R, function standard).
func TestAdjustedMeans(t *testing.T) {
	r := statstest.Reference(t, "linear/orthodont-66")
	f, err := robust.FitLinear(r.Linear(), stats.CR2)
	require.NoError(t, err)
	girls, err := robust.MeanRow(arm(r.X, 3, 2, 1), 3, nil)
	require.NoError(t, err)
	boys, err := robust.MeanRow(arm(r.X, 3, 2, 0), 3, nil)
	require.NoError(t, err)
	a := f.AdjustedMeans(girls, boys, 0.95)
	compareAdjusted(t, r.Adjusted, a)
	sex := f.Contrast([]float64{0, 0, 1}, 0.95)
	statstest.Near(t, sex.Value, a.Difference.Value, 1e-10, 0)
	statstest.Near(t, sex.DF, a.Difference.DF, 1e-9, 0)
	statstest.Near(t, a.Ratio.Value, math.Sqrt(a.Ratio.Low*a.Ratio.High), 1e-12, 0)

	same := f.AdjustedMeans(girls, girls, 0.95)
	assert.Equal(t, 1.0, same.Ratio.Value)
	assert.Zero(t, same.Difference.Value)
	_, err = robust.MeanRow([]float64{1, 2}, 3, nil)
	assert.Error(t, err)
	_, err = robust.MeanRow([]float64{1, 2}, 2, []float64{0})
	assert.Error(t, err)
}

func compareAdjusted(t *testing.T, want []float64, a robust.AdjustedMeans) {
	t.Helper()
	for k, e := range []stats.Estimate{a.First, a.Second, a.Difference, a.Ratio} {
		statstest.Near(t, want[2*k], e.Value, 1e-6, 0, k, "value")
		statstest.Near(t, want[2*k+1], e.SE, 1e-6, 0, k, "SE")
		assert.True(t, e.Low < e.Value && e.Value < e.High)
	}
}

// Expected days away standardised over the children of MASS::quine (glm.nb,
// sandwich::vcovHC HC0, delta method by hand in models.R).
func TestAdjustedCounts(t *testing.T) {
	r := statstest.Reference(t, "count/quine")
	m, family := countOf(r)
	f, err := glm.FitCount(m, family, stats.CR0)
	require.NoError(t, err)
	p := len(r.Names)
	a, err := f.AdjustedMeans(arm(r.X, p, 1, 1), arm(r.X, p, 1, 0), nil, 0.95)
	require.NoError(t, err)
	compareAdjusted(t, r.Adjusted, a)
	statstest.Near(t, math.Exp(f.Coef[1]), a.Ratio.Value, 1e-10, 0, "no interaction: the ratio is the rate ratio")
	_, err = f.AdjustedMeans([]float64{1}, []float64{1}, nil, 0.95)
	assert.Error(t, err)
}

// With an interaction, the standardised difference is that at the mean of the
// other column, and the difference at two amounts differs by the product's
// coefficient.
func TestInteraction(t *testing.T) {
	r := statstest.Reference(t, "mixed/orthodont-product") // 1, age, Sex, age x Sex
	m := stats.LinearModel{Names: r.Names, X: r.X, Y: r.Y, Cluster: r.Cluster}
	f, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	rows := func(sex float64) []float64 {
		x := arm(r.X, 4, 2, sex)
		for i := 0; i < len(x); i += 4 {
			x[i+3] = x[i+1] * sex
		}
		return x
	}
	girls, err := robust.MeanRow(rows(1), 4, nil)
	require.NoError(t, err)
	boys, err := robust.MeanRow(rows(0), 4, nil)
	require.NoError(t, err)
	d := f.AdjustedMeans(girls, boys, 0.95).Difference
	at11 := f.Contrast([]float64{0, 0, 1, 11}, 0.95) // mean age 11
	statstest.Near(t, at11.Value, d.Value, 1e-10, 0)
	statstest.Near(t, at11.SE, d.SE, 1e-10, 0)
	at14, at8 := f.Contrast([]float64{0, 0, 1, 14}, 0.95), f.Contrast([]float64{0, 0, 1, 8}, 0.95)
	statstest.Near(t, 6*f.Coef[3], at14.Value-at8.Value, 1e-9, 0)
}
