package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Cases that all agree leave no spread: no interval of no width is given, and no
// P of rounding errors, whatever the method and the constant.
func TestNoSpreadIsSaid(t *testing.T) {
	const n = 24
	ones, cluster := make([]float64, n), make([]int, n)
	for i := range ones {
		ones[i], cluster[i] = 1, i/2
	}
	for _, value := range []float64{0, .1, 1, -7e5} {
		y, arm, x := make([]float64, n), make([]float64, 0, 2*n), [][]float64{}
		for i := range y {
			y[i] = value
			arm = append(arm, 1, float64(i%2))
			x = append(x, []float64{1, float64(i)})
		}
		said := func(e Estimate, err error) {
			t.Helper()
			require.NoError(t, err)
			assert.True(t, math.IsNaN(e.Low) && math.IsNaN(e.High) && math.IsNaN(e.P), "%s of %v: %+v", e.Method, value, e)
			assert.Contains(t, warningIDs(e.Warnings), "no-spread", "%s of %v", e.Method, value)
		}
		said(RatioOfSums(y, ones, cluster, .95))
		said(RatioOfSumsCR2(y, ones, cluster, .95))
		said(RatioOfSumsLinearised(y, ones, cluster, .95))
		said(RatioOfSumsJackknife(y, ones, cluster, .95))
		said(ClusteredMean(y, cluster, .95))
		f, err := RatioOfSumsFieller(y, ones, cluster, .95)
		said(f.Estimate, err)
		f, err = Fieller(value, 2, 0, 0, 0, 9, .95)
		said(f.Estimate, err)
		b, err := BootstrapRatioOfSums(y, ones, cluster, .95, DefaultBootstrap())
		said(b.Estimate, err)
		b, err = ClusteredQuantile(y, cluster, .5, .95, DefaultBootstrap())
		said(b.Estimate, err)
		b, err = WildCluster(y, x, cluster, 1, 0, .95, DefaultBootstrap())
		said(b.Estimate, err)
		a, err := Agreement(y, make([]float64, n), .95)
		said(a.Bias, err)
		said(a.MethodOfMoments, err)
		said(a.UpperLimit, err)
		assert.Contains(t, warningIDs(a.Warnings), "no-spread")
		for _, weighted := range []bool{false, true} {
			for v := CR0; v <= CR3; v++ {
				m := LinearModel{Names: []string{"1", "arm"}, X: arm, Y: y, Cluster: cluster}
				if weighted {
					for i := range y {
						m.Weights = append(m.Weights, 1+float64(i%3))
					}
				}
				g, err := FitLinear(m, v)
				require.NoError(t, err)
				for j := range 2 {
					said(g.Contrast(unit(2, j), .95), nil)
					said(g.ModelContrast(unit(2, j), .95), nil)
				}
			}
		}
		h, err := FitRandomIntercept(LinearModel{Names: []string{"1", "arm"}, X: arm, Y: y, Cluster: cluster}, REML)
		said(h.Contrast([]float64{0, 1}, .95), err)
		assert.Equal(t, Failed, h.Status)
	}
	flat := make([]int, 20)
	for limits := range map[ChartLimits]bool{StandardLimits: true, ExactLimits: true} {
		c, err := PChart(flat, append([]int(nil), 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9), 1, limits)
		require.NoError(t, err)
		assert.Contains(t, warningIDs(c.Warnings), "no-spread")
	}
}

// Rows that agree within their case: the likelihood of a mixed model has no
// maximum, and the fit says so.
func TestMixedWithoutResidual(t *testing.T) {
	m := LinearModel{Names: []string{"1", "x"}}
	var slope []float64
	for i := range 30 {
		c := i / 3
		m.X, m.Cluster, slope = append(m.X, 1, float64(i%5)), append(m.Cluster, c), append(slope, float64(i%5))
		m.Y = append(m.Y, .1+float64(c*c%7))
	}
	a, err := FitRandomIntercept(m, REML)
	require.NoError(t, err)
	b, err := FitRandomSlope(m, slope, REML)
	require.NoError(t, err)
	for _, f := range []*MixedFit{a, b} {
		assert.Equal(t, Failed, f.Status)
		assert.Equal(t, []string{"no-residual"}, warningIDs(f.Warnings))
		assert.True(t, math.IsNaN(f.Contrast([]float64{0, 1}, .95).Value))
		assert.True(t, math.IsNaN(f.RandomEffectTest().P))
		assert.True(t, math.IsNaN(f.Coef[0]))
	}
}

// Numbers no measurement has are refused by the row they are in.
func TestHugeNumbersAreRefused(t *testing.T) {
	_, err := ClusteredMean([]float64{1, 2e60}, nil, .95)
	require.ErrorContains(t, err, "value 1 is beyond 1e+60")
	_, err = ClusteredMean([]float64{1, math.Inf(-1)}, nil, .95)
	require.ErrorContains(t, err, "value 1 is not a finite number")
	m := LinearModel{Names: []string{"1"}, X: []float64{1, 1, 1}, Y: []float64{1, 2, -1e61}, Cluster: []int{1, 1, 2}}
	_, err = FitLinear(m, CR2)
	require.ErrorContains(t, err, "outcome of row 2 is beyond")
	m.Y[2], m.X[1] = 3, 1e61
	_, err = FitLinear(m, CR2)
	require.ErrorContains(t, err, `row 1, column "1" is beyond`)
	m.X[1] = 1
	_, err = FitRandomSlope(m, []float64{1, 2, 1e61}, REML)
	require.ErrorContains(t, err, "random slope of row 2 is beyond")
	m.Weights = []float64{1, 1, 1e61}
	_, err = FitLinear(m, CR2)
	require.ErrorContains(t, err, "weight of row 2")
	_, err = FitCount(CountModel{Names: []string{"1"}, X: []float64{1}, Y: []float64{1}, Offset: []float64{200}}, Poisson, CR2)
	require.ErrorContains(t, err, "offset of row 0")
	_, err = Fieller(math.Inf(1), 1, 1, 1, 0, 5, .95)
	require.Error(t, err)
	zero, err := Fieller(1, 0, 1, 1, 0, 5, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(zero.Value))
	assert.Equal(t, []string{"not-estimable"}, warningIDs(zero.Warnings))
	_, err = SampleSizeMeans(1e-9, 1, Unclustered(), DefaultPower())
	require.ErrorContains(t, err, "too small to plan for")
	_, err = SampleSizeProportions(.5, .5+1e-9, Unclustered(), DefaultPower())
	require.ErrorContains(t, err, "too small to plan for")
	_, err = SampleSizeRates(1, 1+1e-9, CaseVariation{Exposure: 1, CV: 1}, DefaultPower())
	require.ErrorContains(t, err, "too small to plan for")
	_, err = DetectableMean(1, 1, Clustering{PerCase: 10, ICC: .5}, DefaultPower())
	require.ErrorContains(t, err, "at least 2")
}

// Cases that agree by luck have a correlation below 0: it must not turn Donner's
// test into one of no variance, nor Rao and Scott's go without a warning.
func TestShareTestsOfCasesThatAgree(t *testing.T) {
	a, ca := expand([][2]int{{1, 4}, {1, 4}, {1, 4}, {2, 8}, {1, 5}})
	b, cb := expand([][2]int{{3, 4}, {3, 4}, {3, 4}, {6, 8}, {4, 5}})
	d, err := DonnerTest(Outcomes{a, ca}, Outcomes{b, cb})
	require.NoError(t, err)
	assert.InDelta(t, pearson([]float64{6, 19}, []float64{25, 25}, nil).Statistic, d.Statistic, 1e-12)
	r, err := RaoScottTest(Outcomes{a, ca}, Outcomes{b, cb})
	require.NoError(t, err)
	assert.Contains(t, warningIDs(r.Warnings), "small-design-effect")
}

// The difference of two clustered shares has the error and the degrees of freedom
// of both (Welch-Satterthwaite), not those of the first; one level only.
func TestErrorOfAShareDifference(t *testing.T) {
	sa, ca := expand(weilControl)
	sb, cb := expand(weilTreated)
	a, err := ClusteredProportion(sa, ca, .95)
	require.NoError(t, err)
	b, err := ClusteredProportion(sb, cb, .95)
	require.NoError(t, err)
	d, m := ClusteredProportionDifference(a, b), ClusteredProportionDifference(b, a)
	assert.InDelta(t, math.Hypot(a.SE, b.SE), d.SE, 1e-15)
	assert.Equal(t, d.SE, m.SE)
	va, vb := square(a.SE), square(b.SE)
	assert.InDelta(t, square(va+vb)/(square(va)/a.DF+square(vb)/b.DF), d.DF, 1e-12)
	assert.InDelta(t, d.DF, m.DF, 1e-12)
	none := a
	none.SE = math.NaN()
	assert.Equal(t, min(a.DF, b.DF), ClusteredProportionDifference(none, b).DF)
	wide, err := ClusteredProportion(sb, cb, .99)
	require.NoError(t, err)
	mixed := ClusteredProportionDifference(a, wide)
	assert.True(t, math.IsNaN(mixed.Low))
	assert.Equal(t, []string{"two-levels"}, warningIDs(mixed.Warnings))
}

// One case moves everything: the acceleration takes BCa beyond its pole, where
// its formula would turn round and give an upper limit below the estimate.
func TestBCaBeyondItsPole(t *testing.T) {
	num, den := make([]float64, 400), make([]float64, 400)
	for i := range num {
		num[i], den[i] = float64(i%3), 1
	}
	num[0] = 1e6
	const level = 1 - 1e-10 // acceleration is 1/6 at most where one case moves everything
	r, err := BootstrapRatioOfSums(num, den, nil, level, DefaultBootstrap())
	require.NoError(t, err)
	require.Greater(t, r.Accel*(r.Z0+normalQuantile(.5+level/2)), 1.0)
	assert.Greater(t, r.High, r.Value)
	assert.Less(t, r.Low, r.Value)
	assert.Contains(t, warningIDs(r.Warnings), "strong-skew")
	for i := range num {
		num[i] *= -1
	}
	m, err := BootstrapRatioOfSums(num, den, nil, level, DefaultBootstrap())
	require.NoError(t, err)
	assert.InDelta(t, -r.High, m.Low, 1e-9*r.High)
}

// A column far from its mean, as years are, costs the wild bootstrap no digits.
func TestWildBootstrapOfYears(t *testing.T) {
	var y []float64
	var near, far [][]float64
	var cluster []int
	for i := range 40 {
		year := float64(i % 8)
		y = append(y, .3*year+math.Sin(float64(i*i)))
		near, far = append(near, []float64{1, year}), append(far, []float64{1, 2e6 + year})
		cluster = append(cluster, i/4)
	}
	a, err := WildCluster(y, near, cluster, 1, 0, .95, DefaultBootstrap())
	require.NoError(t, err)
	b, err := WildCluster(y, far, cluster, 1, 0, .95, DefaultBootstrap())
	require.NoError(t, err)
	assert.InEpsilon(t, a.Value, b.Value, 1e-8)
	assert.InEpsilon(t, a.SE, b.SE, 1e-8)
	assert.Equal(t, a.P, b.P)
	assert.InEpsilon(t, a.High, b.High, .01) // a limit is a jump of P
}

// Exact limits of S in samples of several sizes are those of sigma from the pooled
// S, unbiased by c4 of its degrees of freedom.
func TestExactLimitsOfUnevenSamples(t *testing.T) {
	samples := [][]float64{{1, 2}, {2, 3, 7}, {1, 3, 5, 6}, {0, 4}}
	_, s, err := XbarS(samples, ExactLimits)
	require.NoError(t, err)
	var pooled float64
	for _, x := range samples {
		_, v := meanVariance(x)
		pooled += v * float64(len(x)-1)
	}
	c4, _, _, _ := ChartFactors(8) // 7 degrees of freedom
	sigma := math.Sqrt(pooled/7) / c4
	for i, df := range []float64{1, 2, 3, 1} {
		assert.InDelta(t, sigma*math.Sqrt(chiSquareQuantile(1-normalTail(3), df)/df), s.Points[i].High, 1e-12)
		assert.InDelta(t, sigma*math.Sqrt(chiSquareQuantile(normalTail(3), df)/df), s.Points[i].Low, 1e-12)
	}
}
