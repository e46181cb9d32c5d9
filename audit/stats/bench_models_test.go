package stats

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// modelBenchData is the invented data of testdata/bench_models.R: the generator of
// Park & Miller (1988, Communications of the ACM 31:1192-1201) gives both
// languages the same numbers.
func modelBenchData(cases, rows int) (m LinearModel, counts []float64) {
	state := int64(20240229)
	uniform := func() float64 {
		state = state * 16807 % 2147483647
		return float64(state) / 2147483647
	}
	beta := []float64{.5, .1, .2, -.1, .05, .3}
	gamma := []float64{.5, .3, .2, -.1, 0, .1}
	m.Names = []string{"1", "x1", "x2", "x3", "x4", "x5"}
	shift := 0.0
	for i := range cases * rows {
		var u [16]float64
		for k := range u {
			u[k] = uniform()
		}
		x := []float64{1, indicator(u[6] < .5), u[7], u[8], indicator(u[9] < .3), u[10]}
		if i%rows == 0 {
			shift = u[11] + u[12] + u[13] + u[14] - 2
		}
		m.X = append(m.X, x...)
		m.Y = append(m.Y, dot(beta, x)+shift+u[0]+u[1]+u[2]+u[3]+u[4]+u[5]-3)
		m.Cluster = append(m.Cluster, i/rows)
		counts = append(counts, math.Floor(-math.Log(u[15])*math.Exp(dot(gamma, x))))
	}
	return m, counts
}

func indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// 100,000 movements in 5,000 cases against R: estimates within 1e-6, variance
// components within 1e-4 (testdata/bench_models.json, made by bench_models.R).
func TestLargeFitsAgainstR(t *testing.T) {
	b, err := os.ReadFile("testdata/bench_models.json")
	require.NoError(t, err)
	var want struct {
		CR2    struct{ Coef, SE []float64 }
		Mixed  struct{ Coef, SE, Variances []float64 }
		Negbin struct{ Coef, SE, Theta []float64 }
	}
	require.NoError(t, json.Unmarshal(b, &want))
	m, counts := modelBenchData(5000, 20)
	f, err := FitLinear(m, CR2)
	require.NoError(t, err)
	g, err := FitRandomIntercept(m, REML)
	require.NoError(t, err)
	h, err := FitCount(CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, NegativeBinomial, CR0)
	require.NoError(t, err)
	for j := range m.Names {
		e := f.Contrast(unit(6, j), 0.95)
		near(t, want.CR2.Coef[j], e.Value, 1e-9, 1, "CR2")
		near(t, want.CR2.SE[j], e.SE, 1e-8, 0, "CR2")
		e = g.Contrast(unit(6, j), 0.95)
		near(t, want.Mixed.Coef[j], e.Value, 1e-6, 1, "mixed")
		near(t, want.Mixed.SE[j], e.SE, 1e-5, 0, "mixed")
		e = h.Contrast(unit(6, j), 0.95)
		near(t, want.Negbin.Coef[j], e.Value, 1e-6, 1, "negative binomial")
		near(t, want.Negbin.SE[j], e.SE, 1e-6, 0, "negative binomial")
	}
	near(t, want.Mixed.Variances[0], g.Random[0], 1e-4, 0, "between")
	near(t, want.Mixed.Variances[1], g.Residual, 1e-4, 0, "within")
	near(t, want.Negbin.Theta[0], h.Theta, 1e-6, 0, "theta")
}

// Run beside testdata/bench_models.R on the same machine.
func BenchmarkModels(b *testing.B) {
	m, counts := modelBenchData(5000, 20)
	c := unit(6, 1)
	b.Run("CR2", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, err := FitLinear(m, CR2)
			require.NoError(b, err)
			f.Contrast(c, 0.95)
		}
	})
	b.Run("RandomIntercept", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, err := FitRandomIntercept(m, REML)
			require.NoError(b, err)
			f.Contrast(c, 0.95)
		}
	})
	b.Run("NegativeBinomial", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, err := FitCount(CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, NegativeBinomial, CR0)
			require.NoError(b, err)
			f.Contrast(c, 0.95)
		}
	})
}

// A million movements in 25,000 cases with 30 columns, and the small fit an
// audit makes hundreds of times.
func BenchmarkModelSizes(b *testing.B) {
	small, _ := modelBenchData(40, 6)
	b.Run("Small/CR2", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, _ := FitLinear(small, CR2)
			f.Contrast(unit(6, 1), 0.95)
		}
	})
	wide := wideData(25000, 40, 30)
	b.Run("Million/CR2", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, _ := FitLinear(wide, CR2)
			f.Contrast(unit(30, 1), 0.95)
		}
	})
	b.Run("Million/RandomIntercept", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, _ := FitRandomIntercept(wide, REML)
			f.Contrast(unit(30, 1), 0.95)
		}
	})
	b.Run("Million/RandomSlope", func(b *testing.B) {
		b.ReportAllocs()
		slope := column(wide, 2)
		for b.Loop() {
			f, _ := FitRandomSlope(wide, slope, REML)
			f.Contrast(unit(30, 1), 0.95)
		}
	})
}

// wideData has an intercept, seven numbers and indicators of the levels of a
// factor, as a model by tooth has.
func wideData(cases, rows, p int) LinearModel {
	m := LinearModel{X: make([]float64, 0, cases*rows*p)}
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
