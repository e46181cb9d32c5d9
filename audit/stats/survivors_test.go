package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// Predicted intercepts and slopes with both errors, from the matrices they are
// defined by (Henderson 1975, Biometrics 31:423-447): u = D Z'V^-1 (y - Xb),
// var(u | b) = D - D Z'V^-1 Z D, and what the uncertainty of b adds.
func TestPredictedSlopesByMatrices(t *testing.T) {
	r := reference(t, "mixed/sleep-slope")
	f := fitReference(t, r)
	n, p := len(r.Y), len(r.Names)
	x := mat.NewDense(n, p, r.X)
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			if r.Cluster[i] == r.Cluster[j] {
				a, b := r.Slope[i], r.Slope[j]
				cov.SetSym(i, j, f.Random[0]+f.Random[1]*(a+b)+f.Random[3]*a*b)
			}
		}
		cov.SetSym(i, i, cov.At(i, i)+f.Residual)
	}
	var inverse, xv, info, phi mat.Dense
	require.NoError(t, inverse.Inverse(cov))
	xv.Mul(x.T(), &inverse)
	info.Mul(&xv, x)
	require.NoError(t, phi.Inverse(&info))
	d := mat.NewDense(2, 2, f.Random)
	for _, e := range f.RandomEffects() {
		z, left := mat.NewDense(n, 2, nil), mat.NewVecDense(n, nil)
		for i := range n {
			left.SetVec(i, r.Y[i]-dot(r.X[i*p:(i+1)*p], f.Coef))
			if r.Cluster[i] == e.Cluster {
				z.SetRow(i, []float64{1, r.Slope[i]})
			}
		}
		var zv, dzv, zvz, cond, dzvx, add, full mat.Dense
		zv.Mul(z.T(), &inverse)
		dzv.Mul(d, &zv)
		var u mat.VecDense
		u.MulVec(&dzv, left)
		zvz.Mul(&dzv, z)
		cond.Mul(&zvz, d)
		cond.Sub(d, &cond)
		dzvx.Mul(&dzv, x)
		add.Product(&dzvx, &phi, dzvx.T())
		full.Add(&cond, &add)
		for k := range 2 {
			near(t, u.AtVec(k), e.Value[k], 1e-6, 1, "effect", k)
			near(t, math.Sqrt(cond.At(k, k)), e.ConditionalSD[k], 1e-6, 0, "conditional", k)
			near(t, math.Sqrt(full.At(k, k)), e.SE[k], 1e-6, 0, "prediction", k)
		}
	}
}

// P of a ratio of adjusted means is that of its logarithm: test and interval agree,
// for linear and count models.
func TestRatioOfAdjustedMeansAgreesWithItsInterval(t *testing.T) {
	m := lawModel(5)
	counts := make([]float64, len(m.Y))
	var first, second []float64
	for i, y := range m.Y {
		counts[i] = math.Round(y)
		first, second = append(first, 1, 1, m.X[3*i+2]), append(second, 1, 0, m.X[3*i+2])
	}
	a, err := MeanRow(first, 3, nil)
	require.NoError(t, err)
	b, err := MeanRow(second, 3, nil)
	require.NoError(t, err)
	linear, err := FitLinear(m, CR2)
	require.NoError(t, err)
	count, err := FitCount(CountModel{Names: m.Names, X: m.X, Y: counts, Cluster: m.Cluster}, NegativeBinomial, CR2)
	require.NoError(t, err)
	for _, level := range []float64{.3, .6, .8, .9, .95, .99} {
		c, err := count.AdjustedMeans(first, second, nil, level)
		require.NoError(t, err)
		for _, e := range []AdjustedMeans{linear.AdjustedMeans(a, b, level), c} {
			assert.InDelta(t, tTwoSided(math.Log(e.Ratio.Value)/e.Ratio.SE, e.Ratio.DF), e.Ratio.P, 1e-12)
			assert.Equal(t, e.Ratio.P < 1-level, e.Ratio.Low > 1 || e.Ratio.High < 1)
			assert.Equal(t, e.Difference.P < 1-level, e.Difference.Low > 0 || e.Difference.High < 0)
		}
	}
}

// The g that warns of an uncertain denominator is Fieller's own.
func TestConcernIsFiellersG(t *testing.T) {
	for _, c := range []struct {
		num, den []float64
		cluster  []int
	}{{cityX, cityU, nil}, {cochranFood, cochranSize, nil}, {toyAchieve, toyPlanned, toyCase}} {
		f, err := RatioOfSumsFieller(c.num, c.den, c.cluster, .9)
		require.NoError(t, err)
		assert.InDelta(t, f.G, sumRatio(c.num, c.den, c.cluster).g(.9), 1e-12)
		b, err := BootstrapRatioOfSums(c.num, c.den, c.cluster, .9, DefaultBootstrap())
		require.NoError(t, err)
		e, err := RatioOfSumsCR2(c.num, c.den, c.cluster, .9)
		require.NoError(t, err)
		for _, w := range [][]Warning{b.Warnings, e.Warnings} {
			if f.G > .2 {
				assert.Contains(t, warningIDs(w), "uncertain-denominator")
			} else {
				assert.NotContains(t, warningIDs(w), "uncertain-denominator")
			}
		}
	}
}

// Fieller's set keeps its width where the error is a billionth of the ratio.
func TestFiellerOfASmallError(t *testing.T) {
	s, err := Fieller(1e10, 1, 4, 0, 0, math.Inf(1), .95)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*2*1.959963984540054, s.High-s.Low, 1e-6)
}

// Small counts are said, and under exact limits need not be.
func TestSmallCountsAreSaid(t *testing.T) {
	x, n := []int{1, 0, 2, 1}, []int{20, 20, 20, 20}
	for limits, said := range map[ChartLimits]bool{StandardLimits: true, ExactLimits: false} {
		c, err := PChart(x, n, 1, limits)
		require.NoError(t, err)
		u, err := UChart(x, []float64{1, 1, 1, 1}, 1, limits)
		require.NoError(t, err)
		for _, w := range [][]Warning{c.Warnings, u.Warnings} {
			if said {
				assert.Contains(t, warningIDs(w), "small-counts")
			} else {
				assert.NotContains(t, warningIDs(w), "small-counts")
			}
		}
	}
}

// The variance between studies is a maximum of its likelihood over the whole half
// line, 0 among it, whatever the studies.
func TestTau2IsTheHighestMaximum(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 300 {
		k := 3 + r.IntN(5)
		y, v := make([]float64, k), make([]float64, k)
		for i := range y {
			v[i] = math.Exp(3 * r.NormFloat64())
			y[i] = math.Sqrt(v[i]) * 1.2 * r.NormFloat64()
		}
		for _, m := range []MetaMethod{RestrictedML, MaximumLikelihood} {
			e, err := Meta(y, v, m, false, .95)
			require.NoError(t, err)
			best := logLikelihoodTau2(y, v, e.Tau2, m == RestrictedML)
			for x := -12.0; x < 8; x += .25 {
				assert.GreaterOrEqual(t, best+1e-7, logLikelihoodTau2(y, v, math.Exp(x), m == RestrictedML), "%v %v tau2 %v", y, v, e.Tau2)
			}
			assert.GreaterOrEqual(t, best+1e-9, logLikelihoodTau2(y, v, 0, m == RestrictedML))
		}
	}
}

// Two things suffice for the correlations, and winsorising takes 0 to below half.
func TestLeastOfReadingsAndWinsorising(t *testing.T) {
	r, err := IntraclassCorrelations([][]float64{{1, 2, 1}, {4, 6, 5}}, .95)
	require.NoError(t, err)
	assert.Greater(t, r.Agreement.High, r.Agreement.Value)
	r, err = IntraclassCorrelations([][]float64{{1, 2, 1}}, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-variation"}, warningIDs(r.Agreement.Warnings))
	same, err := IntraclassCorrelations([][]float64{{1, 1}, {4, 4}, {5, 5}}, .95)
	require.NoError(t, err)
	assert.Equal(t, 1.0, same.Agreement.Value)
	assert.Equal(t, []string{"no-spread"}, warningIDs(same.Agreement.Warnings))
	y, v := []float64{1, 2, 9}, []float64{1, 1, 1}
	for _, bad := range []float64{-.01, .5, math.NaN()} {
		_, err = Overdispersion(y, v, 2, bad)
		require.ErrorContains(t, err, "winsorised share")
	}
	_, err = Overdispersion(y, v, math.NaN(), .1)
	require.Error(t, err)
	_, err = Overdispersion(y, v, 2, 0)
	require.NoError(t, err)
}

// A design effect divides the numbers a chart is drawn from, under either kind of
// limits: twice the counts with an effect of two are the chart of the counts.
func TestDesignEffectOfCharts(t *testing.T) {
	x, n, twoX, twoN := []int{3, 9, 4, 5}, []int{20, 30, 24, 22}, []int{6, 18, 8, 10}, []int{40, 60, 48, 44}
	one, two := []float64{20, 30, 24, 22}, []float64{40, 60, 48, 44}
	for _, limits := range []ChartLimits{StandardLimits, ExactLimits} {
		a, err := PChart(x, n, 1, limits)
		require.NoError(t, err)
		b, err := PChart(twoX, twoN, 2, limits)
		require.NoError(t, err)
		c, err := UChart(x, one, 1, limits)
		require.NoError(t, err)
		d, err := UChart(twoX, two, 2, limits)
		require.NoError(t, err)
		for i := range x {
			for _, p := range [][2]ChartPoint{{a.Points[i], b.Points[i]}, {c.Points[i], d.Points[i]}} {
				for k, want := range []float64{p[0].Low, p[0].High, p[0].Sigma, p[0].Z} {
					assert.InDelta(t, want, []float64{p[1].Low, p[1].High, p[1].Sigma, p[1].Z}[k], 1e-12, limits)
				}
			}
		}
	}
}

// Just beyond 2 sigma counts, at either place; just within does not.
func TestTwoOfThreeAtItsEdge(t *testing.T) {
	assert.Equal(t, []RunSignal{{TwoOf3Beyond, 0, 2}}, RunRules([]float64{2.001, 0, 2.001}))
	assert.Empty(t, RunRules([]float64{2, 0, 2.001}))
	assert.Empty(t, RunRules([]float64{2.001, 0, 2}))
}

// Above the listed sizes the limits are the pairwise values counted in from the
// ends by the normal approximation (Hollander & Wolfe 1999, equations 3.23 and
// 4.41: n(n+1)/4 or mn/2 less z standard errors).
func TestRankLimitsOfLargeSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	draw := func(n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = .2 + r.NormFloat64()
		}
		return x
	}
	const z = 1.959963984540054
	a, b := draw(70), draw(45)
	w, err := RankSum(a, b, .95)
	require.NoError(t, err)
	require.False(t, w.Exact)
	var below float64
	for _, x := range a {
		for _, y := range b {
			below += indicator(x-y < w.Low)
		}
	}
	assert.Equal(t, math.Round(70*45/2-z*math.Sqrt(70.0*45*116/12)), below+1)
	d := draw(230)
	s, err := SignedRank(d, .95)
	require.NoError(t, err)
	require.False(t, s.Exact)
	below = 0
	for i, x := range d {
		for _, y := range d[i:] {
			below += indicator((x+y)/2 < s.Low)
		}
	}
	assert.Equal(t, math.Round(230.0*231/4-z*math.Sqrt(230.0*231*461/24)), below+1)
}

// The edges of what is allowed: a covariance as large as the variances let it be,
// and one degree of freedom.
func TestEdgesOfWhatIsAllowed(t *testing.T) {
	_, err := Fieller(6, 1, 4, 1, 2, 9, .95)
	require.NoError(t, err)
	_, err = Fieller(6, 1, 4, 1, 2.001, 9, .95)
	require.Error(t, err)
	f, err := FitLinear(LinearModel{Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{2, 5}}, CR0)
	require.NoError(t, err)
	e := f.ModelContrast([]float64{1}, .95)
	assert.InDelta(t, 1.5, e.SE, 1e-12)
	assert.InDelta(t, 3.5-12.7062047362*1.5, e.Low, 1e-8) // t .975 on 1 df, any table
	g, err := FitLinear(LinearModel{Names: []string{"1"}, X: []float64{1}, Y: []float64{2}}, CR0)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-df"}, warningIDs(g.ModelContrast([]float64{1}, .95).Warnings))
}

// A denominator whose cases nearly cancel: the resamples do not lie about the
// estimate, and the interval says that it leaves it out.
func TestIntervalThatLeavesOutItsEstimate(t *testing.T) {
	num := []float64{1, 2, 1, 3, 1, 2, 1, 1, 2, 1, 3, 1}
	den := []float64{1, -1, 2, -1.5, 1, -2, .5, -1, 1.2, -.4, .8, -.5}
	r, err := BootstrapRatioOfSums(num, den, nil, .5, DefaultBootstrap())
	require.NoError(t, err)
	require.True(t, r.Value < r.Low || r.Value > r.High)
	assert.Subset(t, warningIDs(r.Warnings), []string{"estimate-outside", "uncertain-denominator"})
	inside, err := BootstrapRatioOfSums(cityX, cityU, nil, .5, DefaultBootstrap())
	require.NoError(t, err)
	assert.NotContains(t, warningIDs(inside.Warnings), "estimate-outside")
	o, err := Overlap([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, []float64{8.5, 9.5, 11, 12, 13, 14, 15, 16, 17, 18}, nil, nil, DefaultOverlap())
	require.NoError(t, err)
	assert.Equal(t, "only 10 % of an arm lies in the common range (least 50 %)", o.Reason)
}
