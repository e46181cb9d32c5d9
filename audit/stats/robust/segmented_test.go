package robust

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
)

// Drivers killed or hurt and the seat belt law (datasets::Seatbelts), months
// clustered in years, against lm and clubSandwich (case "segmented").
func TestSegmentedAgainstR(t *testing.T) {
	r := statstest.Reference(t, "linear/segmented") // 1, time-170, law, (time-170) law, kms
	m := SegmentedModel{Y: r.Y, Change: 170, Cluster: r.Cluster, CovariateNames: []string{"kms"}}
	for i := range r.Y {
		m.Time = append(m.Time, r.X[5*i+1]+170)
		m.Covariates = append(m.Covariates, r.X[5*i+4])
	}
	s, err := FitSegmented(m, stats.CR2, 0.95)
	require.NoError(t, err)
	f, err := FitLinear(stats.LinearModel{Names: r.Names, X: r.X, Y: r.Y, Cluster: r.Cluster}, stats.CR2)
	require.NoError(t, err)
	// R's formula orders the product last.
	for j, name := range map[int]string{1: "I(time - 170)", 2: "law"} {
		assert.Equal(t, name, r.Names[j])
	}
	product := 0
	for j, name := range r.Names {
		if name == "I((time - 170) * law)" {
			product = j
		}
	}
	require.Positive(t, product)
	both := statstest.Unit(5, 1)
	both[product] = 1
	for _, c := range []struct {
		got  stats.Estimate
		want []float64
	}{{s.Level, statstest.Unit(5, 0)}, {s.TrendBefore, statstest.Unit(5, 1)}, {s.Step, statstest.Unit(5, 2)}, {s.TrendChange, statstest.Unit(5, product)}, {s.TrendAfter, both}} {
		want := f.Contrast(c.want, 0.95)
		statstest.Near(t, want.Value, c.got.Value, 1e-9, 0)
		statstest.Near(t, want.SE, c.got.SE, 1e-9, 0)
		statstest.Near(t, want.DF, c.got.DF, 1e-8, 0)
	}
	statstest.Near(t, r.Coef[2], s.Step.Value, 1e-9, 0, "step against R")
	assert.Negative(t, s.Step.Value)
	m.Time = m.Time[1:]
	_, err = FitSegmented(m, stats.CR2, 0.95)
	assert.Error(t, err)
}
