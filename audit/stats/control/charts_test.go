package control

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// Montgomery 2009, Introduction to Statistical Quality Control, appendix VI.
func TestChartFactors(t *testing.T) {
	for n, want := range map[int][4]float64{
		2: {.7979, 2.659, 0, 3.267}, 3: {.8862, 1.954, 0, 2.568}, 4: {.9213, 1.628, 0, 2.266}, 5: {.9400, 1.427, 0, 2.089},
		6: {.9515, 1.287, .030, 1.970}, 7: {.9594, 1.182, .118, 1.882}, 8: {.9650, 1.099, .185, 1.815}, 9: {.9693, 1.032, .239, 1.761},
		10: {.9727, .975, .284, 1.716}, 15: {.9823, .789, .428, 1.572}, 20: {.9869, .680, .510, 1.490}, 25: {.9896, .606, .565, 1.435},
	} {
		c4, a3, b3, b4 := ChartFactors(n)
		assert.InDelta(t, want[0], c4, 6e-5, n)
		for i, v := range []float64{a3, b3, b4} {
			assert.InDelta(t, want[i+1], v, 6e-4, n)
		}
	}
	c4, _, _, _ := ChartFactors(1)
	assert.True(t, math.IsNaN(c4))
}

// p chart with centre .1 and 50 a point: .1 -+ 3 sqrt(.09/50), clipped at 0. c
// chart of Montgomery 2009, example 7.3 (centre 19.85): 6.48 to 33.22.
func TestStandardLimits(t *testing.T) {
	x, n := make([]int, 20), make([]int, 20)
	for i := range x {
		x[i], n[i] = 4+2*(i%2), 50
	}
	c, err := PChart(x, n, 1, StandardLimits)
	require.NoError(t, err)
	assert.InDelta(t, .1, c.Centre, 1e-15)
	assert.Zero(t, c.Points[0].Low)
	assert.InDelta(t, .2272792, c.Points[0].High, 5e-8)
	assert.Empty(t, c.Warnings)

	counts, exposure := make([]int, 20), make([]float64, 20)
	for i := range counts {
		counts[i], exposure[i] = 20, 1
	}
	counts[3] = 17 // 397/20 = 19.85
	u, err := UChart(counts, exposure, 1, StandardLimits)
	require.NoError(t, err)
	assert.InDelta(t, 19.85, u.Centre, 1e-12)
	assert.InDelta(t, 6.4839984, u.Points[0].Low, 5e-8)
	assert.InDelta(t, 33.2160016, u.Points[0].High, 5e-8)
	wide, err := UChart(counts, exposure, 2, StandardLimits)
	require.NoError(t, err)
	assert.InDelta(t, math.Sqrt2, wide.Points[0].Sigma/u.Points[0].Sigma, 1e-12)
}

// Exact limits leave at most .00135 outside on each side.
func TestExactLimitsHoldTheirTail(t *testing.T) {
	for _, p := range []float64{.03, .2, .5, .9} {
		for _, n := range []int{5, 30, 200} {
			low, high := exactShare(p, n, dist.NormalTail(3))
			assert.Less(t, dist.BinomialCDF(int(math.Round(low*float64(n)))-1, n, p), dist.NormalTail(3))
			assert.LessOrEqual(t, 1-dist.BinomialCDF(int(math.Round(high*float64(n))), n, p), dist.NormalTail(3)+1e-12)
		}
	}
	counts, exposure := []int{0, 1, 2, 0}, []float64{1, 1, 2, 0}
	c, err := UChart(counts, exposure, 1, ExactLimits)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(c.Points[3].Value))
	assert.False(t, c.Points[3].Out)
	_, err = UChart([]int{1}, []float64{0}, 1, ExactLimits)
	require.Error(t, err)
	_, err = PChart([]int{1}, []int{2}, 0, ExactLimits)
	require.ErrorContains(t, err, "design effect")
	_, err = PChart([]int{1}, []int{2}, 1, "")
	require.ErrorContains(t, err, "limits")
}

func TestXbarS(t *testing.T) {
	samples := [][]float64{{1, 2, 3}, {2, 3, 4}, {1, 3, 5}}
	x, s, err := XbarS(samples, StandardLimits)
	require.NoError(t, err)
	mean := (1.0 + 1 + 2) / 3
	assert.InDelta(t, 8.0/3, x.Centre, 1e-12)
	assert.InDelta(t, mean, s.Centre, 1e-12)
	assert.InDelta(t, 8.0/3+1.9544*mean, x.Points[0].High, 1e-4)
	assert.InDelta(t, 2.5682*mean, s.Points[0].High, 1e-4)
	assert.Zero(t, s.Points[0].Low)
	uneven, _, err := XbarS(append(samples, []float64{2, 4}), StandardLimits)
	require.NoError(t, err)
	assert.Contains(t, uneven.Method, "several sizes")
	_, exact, err := XbarS(samples, ExactLimits)
	require.NoError(t, err)
	assert.Positive(t, exact.Points[0].Low)
	_, _, err = XbarS([][]float64{{1}}, StandardLimits)
	require.ErrorContains(t, err, "sample 0")
}

// Each rule fires on its own pattern, at its last point, and nothing else does.
func TestRunRulesOnTheirPatterns(t *testing.T) {
	repeat := func(n int, v ...float64) (z []float64) {
		for len(z) < n {
			z = append(z, v...)
		}
		return z[:n]
	}
	nan := math.NaN()
	for name, c := range map[string]struct {
		z    []float64
		want []RunSignal
	}{
		"beyond":          {[]float64{0, 3.1, 0}, []RunSignal{{Beyond3, 1, 1}}},
		"exactly 3":       {[]float64{0, 3, 0}, nil},
		"nine":            {repeat(9, .5, 1.5), []RunSignal{{Same9, 0, 8}}},
		"eight":           {append(repeat(8, .5, 1.5), -.5, 1.2), nil},
		"nine broken":     {append(append(repeat(5, .5, 1.5), nan), repeat(5, .5, 1.5)...), nil},
		"on the line":     {append(append(repeat(5, .5, 1.5), 0), repeat(5, .5, 1.5)...), nil},
		"six rising":      {[]float64{-1.5, -1, -.5, 0, .5, 1}, []RunSignal{{Monotone6, 0, 5}}},
		"five rising":     {[]float64{-1.5, -1, -.5, 0, .5, .5}, nil},
		"two of three":    {[]float64{0, 2.1, .5, 2.5, 0}, []RunSignal{{TwoOf3Beyond, 1, 3}}},
		"opposite sides":  {[]float64{0, 2.1, .5, -2.5, 0}, nil},
		"fifteen":         {repeat(15, .3, -.6), []RunSignal{{Fifteen, 0, 14}}},
		"fourteen":        {append(repeat(14, .3, -.6), 1.1), nil},
		"eighteen alike":  {repeat(18, 1.1, 1.2), []RunSignal{{Same9, 0, 8}, {Same9, 9, 17}}},
		"nothing at all":  {nil, nil},
		"missing between": {[]float64{2.5, nan, 2.5}, nil},
	} {
		assert.Equal(t, c.want, RunRules(c.z), name)
		mirrored := make([]float64, len(c.z))
		for i, v := range c.z {
			mirrored[i] = -v
		}
		assert.Equal(t, c.want, RunRules(mirrored), "mirrored "+name)
	}
}

// Chance alone sets off rule 1 at 2.70 points in a thousand (Shewhart 1931);
// nine on one side starts at any point with probability 2^-8 a chain.
func TestRunRulesUnderChance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	z := make([]float64, 200000)
	for i := range z {
		z[i] = r.NormFloat64()
	}
	count := map[RunRule]float64{}
	for _, s := range RunRules(z) {
		count[s.Rule] += 1000 / float64(len(z))
	}
	assert.InDelta(t, 2.700, count[Beyond3], .5)
	// Mean distance between non-overlapping runs of nine is 2(2^9 - 1)/2 = 511.
	assert.InDelta(t, 1000.0/511, count[Same9], .3)
	assert.Positive(t, count[Monotone6])
	assert.Less(t, count[TwoOf3Beyond], 4.0)
}

// Spiegelhalter 2005, appendix A.1.1, computed with R 4.2.2 (qbinom, pbinom,
// dbinom; qpois, ppois, dpois); negative limits at small n are clipped.
func TestFunnelLimits(t *testing.T) {
	p := []float64{.001, .025, .975, .999}
	for _, c := range []struct {
		theta float64
		n     int
		want  []float64
	}{
		{.5, 20, []float64{.1367358, .2558235, .6941765, .8132642}},
		{.5, 50, []float64{.2727708, .3507023, .6292977, .7072292}},
		{.5, 100, []float64{.3412159, .3968240, .5931760, .6487841}},
		{.1, 100, []float64{.0141789, .0403806, .1577186, .1983567}},
	} {
		l, err := FunnelBinomial(c.theta, c.n, p...)
		require.NoError(t, err)
		assert.InDeltaSlice(t, c.want, l.Limits, 5e-8)
	}
	small, err := FunnelBinomial(.1, 20, p...)
	require.NoError(t, err)
	assert.Zero(t, small.Limits[0])
	assert.Zero(t, small.Limits[1])
	l, err := FunnelPoisson(10, p...)
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{.1220529, .3775188, 1.6159951, 2.0662001}, l.Limits, 5e-8)
	n, err := FunnelNormal(.1, .0009, 0, 0, 1, p...)
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{.0072930, .0412011, .1587989, .1927070}, n.Limits, 5e-8)
	wide, err := FunnelNormal(.1, .0009, .01, 0, 1, p...)
	require.NoError(t, err)
	assert.Zero(t, wide.Limits[0])
	assert.Greater(t, wide.Limits[3], n.Limits[3])
	_, err = FunnelBinomial(0, 10, .5)
	require.Error(t, err)
	_, err = FunnelPoisson(3, 1)
	require.Error(t, err)
}

// Spiegelhalter 2005, sections 5.1 and 5.2, by hand without winsorising; with
// it, one wild unit no longer makes a spread.
func TestOverdispersion(t *testing.T) {
	y, v := []float64{1, 2, 4, 5, 3}, []float64{.25, .5, .25, 1, .5}
	r, err := Overdispersion(y, v, 3, 1e-12)
	require.NoError(t, err)
	phi := (16.0 + 2 + 4 + 4 + 0) / 5
	assert.InDelta(t, phi, r.Phi, 1e-9)
	w, w2 := 13.0, 16.0+4+16+1+4
	assert.InDelta(t, (5*phi-4)/(w-w2/w), r.Tau2, 1e-9)
	flat, err := Overdispersion([]float64{3, 3.1, 2.9}, []float64{1, 1, 1}, 3, DefaultWinsorise)
	require.NoError(t, err)
	assert.Zero(t, flat.Tau2)
	_, err = Overdispersion(y, []float64{1, 1, 0, 1, 1}, 3, .1)
	require.ErrorContains(t, err, "variance 2")
}

// Exact limits of S in samples of several sizes are those of sigma from the pooled
// S, unbiased by c4 of its degrees of freedom.
func TestExactLimitsOfUnevenSamples(t *testing.T) {
	samples := [][]float64{{1, 2}, {2, 3, 7}, {1, 3, 5, 6}, {0, 4}}
	_, s, err := XbarS(samples, ExactLimits)
	require.NoError(t, err)
	var pooled float64
	for _, x := range samples {
		_, v := numeric.MeanVariance(x)
		pooled += v * float64(len(x)-1)
	}
	c4, _, _, _ := ChartFactors(8) // 7 degrees of freedom
	sigma := math.Sqrt(pooled/7) / c4
	for i, df := range []float64{1, 2, 3, 1} {
		assert.InDelta(t, sigma*math.Sqrt(dist.ChiSquareQuantile(1-dist.NormalTail(3), df)/df), s.Points[i].High, 1e-12)
		assert.InDelta(t, sigma*math.Sqrt(dist.ChiSquareQuantile(dist.NormalTail(3), df)/df), s.Points[i].Low, 1e-12)
	}
}
