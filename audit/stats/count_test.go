package stats

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func (r *modelReference) count() (CountModel, CountFamily) {
	family := Poisson
	if r.Family == "negbin" {
		family = NegativeBinomial
	}
	return CountModel{Names: r.Names, X: r.X, Y: r.Y, Offset: r.Offset, Cluster: r.Cluster}, family
}

// Count models against R's glm, MASS::glm.nb, sandwich and clubSandwich.
func TestCountsAgainstR(t *testing.T) {
	eachReference(t, "count", 11, func(t *testing.T, r *modelReference) {
		m, family := r.count()
		p := len(r.Names)
		for v, raw := range map[Variance]json.RawMessage{CR0: r.CR0, CR2: r.CR2, CR3: r.CR3} {
			if raw == nil {
				continue
			}
			var want numbers
			require.NoError(t, json.Unmarshal(raw, &want))
			f, err := FitCount(m, family, v)
			require.NoError(t, err)
			assert.Equal(t, Converged, f.Status)
			near(t, r.LogLik[0], f.LogLik, 1e-9, 0, "log likelihood")
			near(t, r.Deviance[0], f.Deviance, 1e-6, 0, "deviance")
			near(t, r.Pearson[0], f.Pearson, 1e-6, 0, "dispersion")
			if family == NegativeBinomial {
				near(t, r.Theta[0], f.Theta, 1e-6, 0, "theta")
				near(t, r.ThetaSE[0], f.ThetaSE, 2e-5, 0, "SE of theta") // R takes it one Newton step early
			}
			for j := range p {
				e := f.Contrast(unit(p, j), 0.95)
				near(t, r.Coef[j], e.Value, 1e-6, 1e-2, r.Names[j])
				near(t, r.SE[j], f.ModelContrast(unit(p, j), 0.95).SE, 1e-6, 0, r.Names[j], "model SE")
				near(t, want[j], e.SE, 1e-6, 0, r.Names[j], v)
				if v == CR2 && r.CR2DF != nil {
					near(t, r.CR2DF[j], e.DF, 1e-5, 0, r.Names[j], "df")
				}
			}
		}
	})
}

// Published: MASS (Venables & Ripley 2002) quine: theta 1.275 (SE .161),
// 2 log-lik. -1093.151; the yeast counts 213, 128, 37, 18, 3, 1: mean .6825,
// theta 3.58608743, log likelihood -446.531576 against Poisson's -449.503791.
func TestPublishedCounts(t *testing.T) {
	m, _ := reference(t, "count/quine").count()
	f, err := FitCount(m, NegativeBinomial, CR2)
	require.NoError(t, err)
	near(t, 1.274893, f.Theta, 1e-6, 0)
	near(t, .161, f.ThetaSE, 4e-3, 0)
	near(t, -1093.151, 2*f.LogLik, 1e-6, 0)

	m, _ = reference(t, "count/yeast").count()
	nb, err := FitCount(m, NegativeBinomial, CR2)
	require.NoError(t, err)
	po, err := FitCount(m, Poisson, CR2)
	require.NoError(t, err)
	near(t, math.Log(.6825), nb.Coef[0], 1e-9, 0)
	near(t, 3.58608743, nb.Theta, 1e-8, 0)
	near(t, 1.7496093, nb.ThetaSE, 2e-5, 0)
	near(t, -446.531576, nb.LogLik, 1e-8, 0)
	near(t, -449.503791, po.LogLik, 1e-8, 0)
	near(t, 1.19227556, po.Pearson, 1e-8, 0)
	test := CompareDispersion(po, nb)
	near(t, 5.94442888, test.Statistic, 1e-8, 0)
	near(t, chiSquareTail(5.94442888, 1)/2, test.P, 1e-8, 0)
	assert.Panics(t, func() { CompareDispersion(nb, po) })
}

// Counts less spread than Poisson's: theta is infinite, the fit is Poisson's and
// says so; the boundary test gives P = 1.
func TestNoOverdispersion(t *testing.T) {
	m := CountModel{Names: []string{"1"}}
	for i := range 40 {
		m.X, m.Y = append(m.X, 1), append(m.Y, float64(2+i%2))
	}
	nb, err := FitCount(m, NegativeBinomial, CR2)
	require.NoError(t, err)
	po, err := FitCount(m, Poisson, CR2)
	require.NoError(t, err)
	assert.Equal(t, Boundary, nb.Status)
	assert.True(t, math.IsInf(nb.Theta, 1))
	assert.Equal(t, "no-overdispersion", nb.Warnings[0].ID)
	assert.Equal(t, po.Contrast([]float64{1}, 0.95).SE, nb.Contrast([]float64{1}, 0.95).SE)
	test := CompareDispersion(po, nb)
	assert.Equal(t, []float64{0, 1}, []float64{test.Statistic, test.P})
}

// A group without events has no finite rate ratio.
func TestGroupWithoutEvents(t *testing.T) {
	m := CountModel{Names: []string{"1", "b"}}
	for i := range 30 {
		b := float64(i % 2)
		m.X = append(m.X, 1, b)
		m.Y = append(m.Y, (1-b)*float64(1+i%3))
	}
	f, err := FitCount(m, Poisson, CR2)
	require.NoError(t, err)
	assert.Equal(t, Diverged, f.Status)
	e := f.RateRatio([]float64{0, 1}, 0.95)
	assert.True(t, math.IsNaN(e.High))
	assert.Equal(t, "no-events", e.Warnings[0].ID)

	for i := range m.Y {
		m.Y[i] = 0
	}
	f, err = FitCount(m, NegativeBinomial, CR2)
	require.NoError(t, err)
	assert.Equal(t, Failed, f.Status)
	assert.True(t, math.IsNaN(f.RateRatio([]float64{0, 1}, 0.95).Value))
}

// The rate ratio is the exponential of the contrast, and exposure is an offset:
// ten times the exposure in every row leaves the ratio alone.
func TestRateRatio(t *testing.T) {
	r := reference(t, "count/insurance")
	m, family := r.count()
	f, err := FitCount(m, family, CR2)
	require.NoError(t, err)
	c := unit(len(r.Names), 4)
	log, ratio := f.Contrast(c, 0.95), f.RateRatio(c, 0.95)
	near(t, math.Exp(log.Low), ratio.Low, 1e-14, 0)
	near(t, math.Exp(log.High), ratio.High, 1e-14, 0)
	assert.Equal(t, log.P, ratio.P)
	m.Offset = append([]float64(nil), m.Offset...)
	for i := range m.Offset {
		m.Offset[i] += math.Log(10)
	}
	g, err := FitCount(m, family, CR2)
	require.NoError(t, err)
	near(t, ratio.Value, g.RateRatio(c, 0.95).Value, 1e-10, 0)
	near(t, f.Coef[0]-math.Log(10), g.Coef[0], 1e-10, 0)
}

func TestCountRefusesBadInput(t *testing.T) {
	for name, m := range map[string]CountModel{
		"fraction": {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, .5}},
		"negative": {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, -1}},
		"offsets":  {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, 1}, Offset: []float64{1}},
		"exposure": {Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{1, 1}, Offset: []float64{1, math.Inf(-1)}},
	} {
		_, err := FitCount(m, Poisson, CR2)
		assert.Error(t, err, name)
	}
	_, err := FitCount(CountModel{Names: []string{"1"}, X: []float64{1}, Y: []float64{1}}, CountFamily(9), CR2)
	assert.Error(t, err)
}
