package stats

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An invented two-arm data set: treatment within cases, planned amount, uneven
// clusters. Y is positive; counts are made of it by rounding.
func lawModel(seed uint64) LinearModel {
	r := rand.New(rand.NewPCG(seed, 4))
	m := LinearModel{Names: []string{"1", "treated", "planned"}}
	for c := range 14 {
		shift := r.NormFloat64()
		for range 2 + r.IntN(6) {
			treated, planned := float64(r.IntN(2)), 1+3*r.Float64()
			m.X = append(m.X, 1, treated, planned)
			m.Y = append(m.Y, math.Abs(4+shift+.6*treated+.8*planned+r.NormFloat64()))
			m.Weights = append(m.Weights, .5+r.Float64())
			m.Cluster = append(m.Cluster, 100-7*c)
		}
	}
	return m
}

// method estimates the effect of column 1.
type method struct {
	name  string
	exact bool // doubling the clusters shrinks the error by exactly sqrt(2)
	count bool
	run   func(m LinearModel, c []float64, level float64) (Estimate, error)
}

func lawMethods() []method {
	var all []method
	for v := CR0; v <= CR3; v++ {
		all = append(all, method{"weighted " + v.String(), v == CR0, false, func(m LinearModel, c []float64, level float64) (Estimate, error) {
			f, err := FitLinear(m, v)
			return f.Contrast(c, level), err
		}}, method{"inverse variance " + v.String(), v == CR0, false, func(m LinearModel, c []float64, level float64) (Estimate, error) {
			m.InverseVariance = true
			f, err := FitLinear(m, v)
			return f.Contrast(c, level), err
		}}, method{"unweighted " + v.String(), v == CR0, false, func(m LinearModel, c []float64, level float64) (Estimate, error) {
			m.Weights = nil
			f, err := FitLinear(m, v)
			return f.Contrast(c, level), err
		}})
	}
	for _, family := range []CountFamily{Poisson, NegativeBinomial} {
		all = append(all, method{family.String(), false, true, func(m LinearModel, c []float64, level float64) (Estimate, error) {
			y := make([]float64, len(m.Y))
			for i, v := range m.Y {
				y[i] = math.Round(v * v / 4)
			}
			f, err := FitCount(CountModel{Names: m.Names, X: m.X, Y: y, Cluster: m.Cluster}, family, CR2)
			return f.Contrast(c, level), err
		}})
	}
	for _, l := range []Likelihood{REML, ML} {
		all = append(all, method{"random intercept " + l.String(), l == ML, false, func(m LinearModel, c []float64, level float64) (Estimate, error) {
			f, err := FitRandomIntercept(m, l)
			return f.Contrast(c, level), err
		}}, method{"random slope " + l.String(), false, false, func(m LinearModel, c []float64, level float64) (Estimate, error) {
			f, err := FitRandomSlope(m, column(m, 2), l)
			return f.Contrast(c, level), err
		}})
	}
	return append(all, method{"Kenward-Roger", false, false, func(m LinearModel, c []float64, level float64) (Estimate, error) {
		f, err := FitRandomIntercept(m, REML)
		return f.KenwardRoger(c, level), err
	}})
}

func column(m LinearModel, j int) (out []float64) {
	for i := range m.Y {
		out = append(out, m.X[i*len(m.Names)+j])
	}
	return out
}

func clone(m LinearModel) LinearModel {
	m.X, m.Y = append([]float64(nil), m.X...), append([]float64(nil), m.Y...)
	m.Weights, m.Cluster = append([]float64(nil), m.Weights...), append([]int(nil), m.Cluster...)
	return m
}

func TestModelLaws(t *testing.T) {
	c := []float64{0, 1, 0}
	for _, law := range lawMethods() {
		t.Run(law.name, func(t *testing.T) {
			for seed := range uint64(3) {
				m := lawModel(seed)
				before := clone(m)
				e, err := law.run(m, c, 0.95)
				require.NoError(t, err)
				assert.Equal(t, before, m, "arguments are not changed")
				checkRange(t, law, m, e)
				same := func(m LinearModel, factor float64, what string) {
					t.Helper()
					got, err := law.run(m, c, 0.95)
					require.NoError(t, err)
					near(t, factor*e.Value, got.Value, 1e-6, math.Abs(factor*e.SE), what, "value")
					near(t, math.Abs(factor)*e.SE, got.SE, 1e-6, 0, what, "SE")
					near(t, e.DF, got.DF, 1e-5, 0, what, "df")
					near(t, e.P, got.P, 1e-5, 1e-12, what, "P")
				}
				same(shuffled(m, seed), 1, "rows in another order")
				relabelled := clone(m)
				for i := range m.Cluster {
					relabelled.Cluster[i] = (m.Cluster[i]*31+5)%97 - 40
				}
				same(relabelled, 1, "clusters under other names")
				swapped, scaled := clone(m), clone(m)
				for i := range m.Y {
					swapped.X[3*i+1] = 1 - m.X[3*i+1]
					scaled.X[3*i+1] *= 1000
				}
				same(swapped, -1, "arms swapped")
				same(scaled, 1./1000, "column in another unit")
				if !law.count {
					unit := clone(m)
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
				near(t, e.SE/math.Sqrt2, doubled.SE, tol, 0, "every cluster twice")
			}
		})
	}
}

func checkRange(t *testing.T, law method, m LinearModel, e Estimate) {
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

func shuffled(m LinearModel, seed uint64) LinearModel {
	out := LinearModel{Names: m.Names}
	p := len(m.Names)
	for _, i := range rand.New(rand.NewPCG(seed, 9)).Perm(len(m.Y)) {
		out.X = append(out.X, m.X[i*p:(i+1)*p]...)
		out.Y, out.Weights, out.Cluster = append(out.Y, m.Y[i]), append(out.Weights, m.Weights[i]), append(out.Cluster, m.Cluster[i])
	}
	return out
}

func twice(m LinearModel) LinearModel {
	out := clone(m)
	out.X, out.Y, out.Weights = append(out.X, m.X...), append(out.Y, m.Y...), append(out.Weights, m.Weights...)
	for _, c := range m.Cluster {
		out.Cluster = append(out.Cluster, c+100000)
	}
	return out
}

// One row a cluster: the textbook sandwiches of White (1980), MacKinnon & White
// (1985, Journal of Econometrics 29:305-325, HC0, HC2, HC3), slope written out.
func TestOneRowAClusterIsTextbook(t *testing.T) {
	r := reference(t, "linear/cars")
	n := len(r.Y)
	mean := 0.0
	for i := range n {
		mean += r.X[2*i+1] / float64(n)
	}
	sxx := 0.0
	for i := range n {
		sxx += (r.X[2*i+1] - mean) * (r.X[2*i+1] - mean)
	}
	for v, power := range map[Variance]float64{CR0: 0, CR2: 1, CR3: 2} {
		f, err := FitLinear(LinearModel{Names: r.Names, X: r.X, Y: r.Y}, v)
		require.NoError(t, err)
		sum := 0.0
		for i := range n {
			d := r.X[2*i+1] - mean
			h := 1/float64(n) + d*d/sxx
			e := f.Residual(i)
			sum += d * d * e * e / math.Pow(1-h, power)
		}
		near(t, math.Sqrt(sum)/sxx, f.Contrast([]float64{0, 1}, 0.95).SE, 1e-11, 0, v)
	}
}

// Equal clusters, intercept only: the t test on cluster means, for CR2 and for
// the random intercept (where its variance is not zero).
func TestEqualClustersAreMeans(t *testing.T) {
	r := reference(t, "mixed/rail") // 6 rails, 3 travels each
	means := make([]float64, 6)
	for i, y := range r.Y {
		means[r.Cluster[i]-1] += y / 3
	}
	m := LinearModel{Names: []string{"1"}, X: r.X, Y: r.Y, Cluster: r.Cluster}
	byMean, err := FitLinear(LinearModel{Names: []string{"1"}, X: r.X[:6], Y: means}, CR0)
	require.NoError(t, err)
	want := byMean.ModelContrast([]float64{1}, 0.95)
	f, err := FitLinear(m, CR2)
	require.NoError(t, err)
	g, err := FitRandomIntercept(m, REML)
	require.NoError(t, err)
	for _, got := range []Estimate{f.Contrast([]float64{1}, 0.95), g.Contrast([]float64{1}, 0.95), g.KenwardRoger([]float64{1}, 0.95)} {
		near(t, want.Value, got.Value, 1e-10, 0)
		near(t, want.SE, got.SE, 1e-7, 0)
		near(t, want.DF, got.DF, 1e-6, 0)
		near(t, want.P, got.P, 1e-6, 0)
	}
}
