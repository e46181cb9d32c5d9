package stats_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

// method estimates the effect of column 1.
type method struct {
	name  string
	exact bool // doubling the clusters shrinks the error by exactly sqrt(2)
	count bool
	run   func(m stats.LinearModel, c []float64, level float64) (stats.Estimate, error)
}

func lawMethods() []method {
	var all []method
	for v := stats.CR0; v <= stats.CR3; v++ {
		all = append(all, method{"weighted " + v.String(), v == stats.CR0, false, func(m stats.LinearModel, c []float64, level float64) (stats.Estimate, error) {
			f, err := robust.FitLinear(m, v)
			return f.Contrast(c, level), err
		}}, method{"inverse variance " + v.String(), v == stats.CR0, false, func(m stats.LinearModel, c []float64, level float64) (stats.Estimate, error) {
			m.InverseVariance = true
			f, err := robust.FitLinear(m, v)
			return f.Contrast(c, level), err
		}}, method{"unweighted " + v.String(), v == stats.CR0, false, func(m stats.LinearModel, c []float64, level float64) (stats.Estimate, error) {
			m.Weights = nil
			f, err := robust.FitLinear(m, v)
			return f.Contrast(c, level), err
		}})
	}
	for _, family := range []glm.CountFamily{glm.Poisson, glm.NegativeBinomial} {
		all = append(all, method{family.String(), false, true, func(m stats.LinearModel, c []float64, level float64) (stats.Estimate, error) {
			y := make([]float64, len(m.Y))
			for i, v := range m.Y {
				y[i] = math.Round(v * v / 4)
			}
			f, err := glm.FitCount(glm.CountModel{Names: m.Names, X: m.X, Y: y, Cluster: m.Cluster}, family, stats.CR2)
			return f.Contrast(c, level), err
		}})
	}
	return all
}

func TestModelLaws(t *testing.T) {
	c := []float64{0, 1, 0}
	for _, law := range lawMethods() {
		t.Run(law.name, func(t *testing.T) {
			for seed := range uint64(3) {
				m := statstest.LawModel(seed)
				before := statstest.Clone(m)
				e, err := law.run(m, c, 0.95)
				require.NoError(t, err)
				assert.Equal(t, before, m, "arguments are not changed")
				checkRange(t, law, m, e)
				same := func(m stats.LinearModel, factor float64, what string) {
					t.Helper()
					got, err := law.run(m, c, 0.95)
					require.NoError(t, err)
					statstest.Near(t, factor*e.Value, got.Value, 1e-6, math.Abs(factor*e.SE), what, "value")
					statstest.Near(t, math.Abs(factor)*e.SE, got.SE, 1e-6, 0, what, "SE")
					statstest.Near(t, e.DF, got.DF, 1e-5, 0, what, "df")
					statstest.Near(t, e.P, got.P, 1e-5, 1e-12, what, "P")
				}
				same(shuffled(m, seed), 1, "rows in another order")
				relabelled := statstest.Clone(m)
				for i := range m.Cluster {
					relabelled.Cluster[i] = (m.Cluster[i]*31+5)%97 - 40
				}
				same(relabelled, 1, "clusters under other names")
				swapped, scaled := statstest.Clone(m), statstest.Clone(m)
				for i := range m.Y {
					swapped.X[3*i+1] = 1 - m.X[3*i+1]
					scaled.X[3*i+1] *= 1000
				}
				same(swapped, -1, "arms swapped")
				same(scaled, 1./1000, "column in another unit")
				if !law.count {
					unit := statstest.Clone(m)
					for i := range unit.Y {
						unit.Y[i] *= 25.4
					}
					same(unit, 25.4, "outcome in another unit")
				}
				doubled, err := law.run(twice(m), c, 0.95)
				require.NoError(t, err)
				tol := 0.06
				switch {
				case law.exact:
					tol = 1e-6
				case strings.HasSuffix(law.name, "CR3"): // its correction is twice that of CR2 and shrinks too
					tol = 0.12
				}
				statstest.Near(t, e.SE/math.Sqrt2, doubled.SE, tol, 0, "every cluster twice")
			}
		})
	}
}

func checkRange(t *testing.T, law method, m stats.LinearModel, e stats.Estimate) {
	t.Helper()
	assert.True(t, e.P >= 0 && e.P <= 1, "P = %v", e.P)
	assert.True(t, e.SE > 0 && e.DF > 0 && e.Low < e.Value && e.Value < e.High, "%+v", e)
	assert.Equal(t, e.P < 0.05, e.Low > 0 || e.High < 0, "test and interval agree")
	width := 0.0
	for _, level := range []float64{.5, .8, .9, .95, .99, .999} {
		got, err := law.run(m, []float64{0, 1, 0}, level)
		require.NoError(t, err)
		assert.Greater(t, got.High-got.Low, width, "wider at %v", level)
		width = got.High - got.Low
	}
}

func shuffled(m stats.LinearModel, seed uint64) stats.LinearModel {
	out := stats.LinearModel{Names: m.Names}
	p := len(m.Names)
	for _, i := range rand.New(rand.NewPCG(seed, 9)).Perm(len(m.Y)) {
		out.X = append(out.X, m.X[i*p:(i+1)*p]...)
		out.Y, out.Weights, out.Cluster = append(out.Y, m.Y[i]), append(out.Weights, m.Weights[i]), append(out.Cluster, m.Cluster[i])
	}
	return out
}

func twice(m stats.LinearModel) stats.LinearModel {
	out := statstest.Clone(m)
	out.X, out.Y, out.Weights = append(out.X, m.X...), append(out.Y, m.Y...), append(out.Weights, m.Weights...)
	for _, c := range m.Cluster {
		out.Cluster = append(out.Cluster, c+100000)
	}
	return out
}

// Equal clusters, intercept only: CR2 is the t test on cluster means.
func TestEqualClustersAreMeans(t *testing.T) {
	r := statstest.Reference(t, "mixed/rail") // 6 rails, 3 travels each
	means := make([]float64, 6)
	for i, y := range r.Y {
		means[r.Cluster[i]-1] += y / 3
	}
	m := stats.LinearModel{Names: []string{"1"}, X: r.X, Y: r.Y, Cluster: r.Cluster}
	byMean, err := robust.FitLinear(stats.LinearModel{Names: []string{"1"}, X: r.X[:6], Y: means}, stats.CR2) // each row a case: the textbook
	require.NoError(t, err)
	want := byMean.Contrast([]float64{1}, 0.95)
	f, err := robust.FitLinear(m, stats.CR2)
	require.NoError(t, err)
	for _, got := range []stats.Estimate{f.Contrast([]float64{1}, 0.95)} {
		statstest.Near(t, want.Value, got.Value, 1e-10, 0)
		statstest.Near(t, want.SE, got.SE, 1e-7, 0)
		statstest.Near(t, want.DF, got.DF, 1e-6, 0)
		statstest.Near(t, want.P, got.P, 1e-6, 0)
	}
}
