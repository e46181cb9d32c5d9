package robust

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/statstest"
)

// Cochran 1977 table 2.3 and boot::city: sets from the quadratic, R 4.2.2.
func TestFiellerOfRatios(t *testing.T) {
	for _, c := range []struct {
		num, den     []float64
		low, high, g float64
	}{
		{cochranFood, cochranSize, 6.3714229514, 8.5769452091, .0210828},
		{cochranFood, cochranIncome, .3308897163, .4279135547, math.NaN()},
		{statstest.CityX, statstest.CityU, 1.19596, 2.46138, .394824},
	} {
		s, err := RatioOfSumsFieller(c.num, c.den, nil, .95)
		require.NoError(t, err)
		assert.Equal(t, Bounded, s.Kind)
		assert.InDelta(t, c.low, s.Low, 5e-6)
		assert.InDelta(t, c.high, s.High, 5e-6)
		if !math.IsNaN(c.g) {
			assert.InDelta(t, c.g, s.G, 5e-7)
		}
	}
	s, err := RatioOfSumsFieller(cochranFood, cochranSize, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, 6.3714229514, s.Low, 1e-9)
	assert.InDelta(t, 8.5769452091, s.High, 1e-9)
}

// The three set types by hand from the quadratic, normal quantile.
func TestFiellerSetTypes(t *testing.T) {
	inf := math.Inf(1)
	s, err := Fieller(10, 5, 1, .25, .1, inf, .95)
	require.NoError(t, err)
	assert.Equal(t, Bounded, s.Kind)
	assert.InDelta(t, 1.55, s.Low, .005)
	assert.InDelta(t, 2.57, s.High, .005)
	assert.InDelta(t, .0384, s.G, 5e-5)

	s, err = Fieller(3, 1, .25, .5, 0, inf, .95)
	require.NoError(t, err)
	assert.Equal(t, TwoRays, s.Kind)
	assert.True(t, math.IsNaN(s.Low) && math.IsNaN(s.High), "not estimable, not a number")
	assert.InDelta(t, -7.66, s.GapLow, .005)
	assert.InDelta(t, 1.14, s.GapHigh, .005)
	assert.InDelta(t, 1.92, s.G, .005)
	assert.Equal(t, []string{"not-estimable"}, statstest.WarningIDs(s.Warnings))

	s, err = Fieller(.5, .5, .25, .25, 0, inf, .95)
	require.NoError(t, err)
	assert.Equal(t, WholeLine, s.Kind)
	assert.InDelta(t, 3.84, s.G, .005)
	assert.True(t, math.IsNaN(s.Low))
	assert.Equal(t, "whole line", s.Kind.String())
}

// Law: a value is in the set exactly when its own test does not reject it.
func TestFiellerSetIsTheInvertedTest(t *testing.T) {
	for _, c := range [][5]float64{{10, 5, 1, .25, .1}, {3, 1, .25, .5, 0}, {.5, .5, .25, .25, 0}, {-2, 4, 3, 1, .5}, {2, -1, .1, 2, .1}} {
		s, err := Fieller(c[0], c[1], c[2], c[3], c[4], 7, .9)
		require.NoError(t, err)
		for r := -20.0; r <= 20; r += .0973 {
			z := (c[0] - r*c[1]) / math.Sqrt(c[2]-2*r*c[4]+r*r*c[3])
			inside := math.Abs(z) <= dist.TQuantile(.95, 7)
			got := s.Kind == WholeLine || (s.Kind == Bounded && r >= s.Low && r <= s.High) || (s.Kind == TwoRays && !(r > s.GapLow && r < s.GapHigh))
			assert.Equal(t, inside, got, "%v r %v", c, r)
		}
	}
	_, err := Fieller(1, 1, 1, 1, 2, 5, .95)
	require.Error(t, err)
}

// The g that warns of an uncertain denominator is Fieller's own.
func TestConcernIsFiellersG(t *testing.T) {
	for _, c := range []struct {
		num, den []float64
		cluster  []int
	}{{statstest.CityX, statstest.CityU, nil}, {cochranFood, cochranSize, nil}, {statstest.ToyAchieve, statstest.ToyPlanned, statstest.ToyCase}} {
		f, err := RatioOfSumsFieller(c.num, c.den, c.cluster, .9)
		require.NoError(t, err)
		assert.InDelta(t, f.G, sumRatio(c.num, c.den, c.cluster).g(.9), 1e-12)
		e, err := RatioOfSumsLinearised(c.num, c.den, c.cluster, .9)
		require.NoError(t, err)
		if f.G > .2 {
			assert.Contains(t, statstest.WarningIDs(e.Warnings), "uncertain-denominator")
		} else {
			assert.NotContains(t, statstest.WarningIDs(e.Warnings), "uncertain-denominator")
		}
	}
}

// Fieller's set keeps its width where the error is a billionth of the ratio.
func TestFiellerOfASmallError(t *testing.T) {
	s, err := Fieller(1e10, 1, 4, 0, 0, math.Inf(1), .95)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*2*1.959963984540054, s.High-s.Low, 1e-6)
}

// The edges of what is allowed: a covariance as large as the variances let it be,
// and one degree of freedom.
func TestEdgesOfWhatIsAllowed(t *testing.T) {
	_, err := Fieller(6, 1, 4, 1, 2, 9, .95)
	require.NoError(t, err)
	_, err = Fieller(6, 1, 4, 1, 2.001, 9, .95)
	require.Error(t, err)
	f, err := FitLinear(stats.LinearModel{Names: []string{"1"}, X: []float64{1, 1}, Y: []float64{2, 5}}, stats.CR0)
	require.NoError(t, err)
	e := f.ModelContrast([]float64{1}, .95)
	assert.InDelta(t, 1.5, e.SE, 1e-12)
	assert.InDelta(t, 3.5-12.7062047362*1.5, e.Low, 1e-8) // t .975 on 1 df, any table
	g, err := FitLinear(stats.LinearModel{Names: []string{"1"}, X: []float64{1}, Y: []float64{2}}, stats.CR0)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-df"}, statstest.WarningIDs(g.ModelContrast([]float64{1}, .95).Warnings))
}
