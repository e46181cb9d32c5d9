package stats_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/mixed"
	"shortfall/audit/stats/robust"
)

// 100,000 movements in 5,000 cases against R: estimates within 1e-6, variance
// components within 1e-4 (testdata/bench_models.json, made by bench_models.R).
func TestLargeFitsAgainstR(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG=1: everyday smaller fits are held against R")
	}
	b, err := os.ReadFile("testdata/bench_models.json")
	require.NoError(t, err)
	var want struct {
		CR2    struct{ Coef, SE []float64 }
		Mixed  struct{ Coef, SE, Variances []float64 }
		Negbin struct{ Coef, SE, Theta []float64 }
	}
	require.NoError(t, json.Unmarshal(b, &want))
	m, counts := statstest.ModelBenchData(5000, 20)
	f, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	g, err := mixed.FitRandomIntercept(m, mixed.REML)
	require.NoError(t, err)
	h, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, glm.NegativeBinomial, stats.CR0)
	require.NoError(t, err)
	for j := range m.Names {
		e := f.Contrast(statstest.Unit(6, j), 0.95)
		statstest.Near(t, want.CR2.Coef[j], e.Value, 1e-9, 1, "CR2")
		statstest.Near(t, want.CR2.SE[j], e.SE, 1e-8, 0, "CR2")
		statstest.Near(t, want.Mixed.Coef[j], g.Coef[j], 1e-6, 1, "mixed")
		e = h.Contrast(statstest.Unit(6, j), 0.95)
		statstest.Near(t, want.Negbin.Coef[j], e.Value, 1e-6, 1, "negative binomial")
		statstest.Near(t, want.Negbin.SE[j], e.SE, 1e-6, 0, "negative binomial")
	}
	statstest.Near(t, want.Mixed.Variances[0], g.Random, 1e-4, 0, "between")
	statstest.Near(t, want.Mixed.Variances[1], g.Residual, 1e-4, 0, "within")
	statstest.Near(t, want.Negbin.Theta[0], h.Theta, 1e-6, 0, "theta")
}

// Run beside testdata/bench_models.R on the same machine.
func BenchmarkModels(b *testing.B) {
	m, counts := statstest.ModelBenchData(5000, 20)
	c := statstest.Unit(6, 1)
	b.Run("CR2", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, err := robust.FitLinear(m, stats.CR2)
			require.NoError(b, err)
			f.Contrast(c, 0.95)
		}
	})
	b.Run("RandomIntercept", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, err := mixed.FitRandomIntercept(m, mixed.REML)
			require.NoError(b, err)
		}
	})
	b.Run("NegativeBinomial", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, glm.NegativeBinomial, stats.CR0)
			require.NoError(b, err)
			f.Contrast(c, 0.95)
		}
	})
}

// A million movements in 25,000 cases with 30 columns, and the small fit an
// audit makes hundreds of times.
func BenchmarkModelSizes(b *testing.B) {
	small, _ := statstest.ModelBenchData(40, 6)
	b.Run("Small/CR2", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, _ := robust.FitLinear(small, stats.CR2)
			f.Contrast(statstest.Unit(6, 1), 0.95)
		}
	})
	wide := wideData(25000, 40, 30)
	b.Run("Million/CR2", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, _ := robust.FitLinear(wide, stats.CR2)
			f.Contrast(statstest.Unit(30, 1), 0.95)
		}
	})
	b.Run("Million/RandomIntercept", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, err := mixed.FitRandomIntercept(wide, mixed.REML)
			require.NoError(b, err)
		}
	})
}

// wideData has an intercept, seven numbers and indicators of the levels of a
// factor, as a model by tooth has.
func wideData(cases, rows, p int) stats.LinearModel {
	m := stats.LinearModel{X: make([]float64, 0, cases*rows*p)}
	state := int64(7)
	uniform := func() float64 {
		state = state * 16807 % 2147483647
		return float64(state) / 2147483647
	}
	for j := range p {
		m.Names = append(m.Names, string(rune('A'+j)))
	}
	for c := range cases {
		shift := uniform() - .5
		for range rows {
			x := make([]float64, p)
			x[0] = 1
			for j := 1; j < 8; j++ {
				x[j] = uniform()
			}
			if level := int(uniform() * float64(p-7)); level > 0 {
				x[7+level] = 1
			}
			m.X = append(m.X, x...)
			m.Y = append(m.Y, shift+x[1]-x[2]+uniform()+uniform())
			m.Cluster = append(m.Cluster, c)
		}
	}
	return m
}
