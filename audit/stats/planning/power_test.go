package planning

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
)

// Cohen 1988, table 2.4.1: d .5, two-sided 5 %, power 80 %: 64 an arm; R 4.2.2
// power.t.test(delta = .5, power = .8) 63.76576. With ten teeth a case and
// correlation .1 that is 122 teeth of 13 cases.
func TestSampleSizeOfMeans(t *testing.T) {
	n, err := SampleSizeMeans(.5, 1, Unclustered(), DefaultPower())
	require.NoError(t, err)
	assert.InDelta(t, 63.76576, n.Independent, 5e-5)
	assert.Equal(t, 64, n.Cases)
	// R 4.2.2: pt(qt(.975, 126), 126, ncp = 2.8, lower = FALSE), and at 18 df 1.3.
	assert.InDelta(t, .79350251801672, dist.NoncentralTail(dist.TQuantile(.975, 126), 126, 2.8), 1e-9)
	assert.InDelta(t, .23310025830055, dist.NoncentralTail(dist.TQuantile(.975, 18), 18, 1.3), 1e-9)
	assert.InDelta(t, 62.791, 2*numeric.Square(DefaultPower().z()/.5), 5e-4) // the normal formula
	c, err := SampleSizeMeans(1, 2, Clustering{PerCase: 10, ICC: .1}, DefaultPower())
	require.NoError(t, err)
	assert.InDelta(t, 1.9, c.DesignEffect, 1e-12)
	assert.Equal(t, []int{122, 13}, []int{c.Observations, c.Cases})
}

// R 4.2.2 power.prop.test help: .5 against .75, power 90 %: 76.7.
func TestSampleSizeOfProportions(t *testing.T) {
	n, err := SampleSizeProportions(.5, .75, Unclustered(), PowerSettings{.05, .9})
	require.NoError(t, err)
	assert.InDelta(t, 76.70693, n.Independent, 5e-5)
	assert.Equal(t, 77, n.Observations)
}

// What is detectable with n cases needs n cases: planning inverts itself.
func TestDetectableInvertsSampleSize(t *testing.T) {
	s := DefaultPower()
	c := Clustering{PerCase: 6, ICC: .2}
	d, err := DetectableMean(2.5, 40, c, s)
	require.NoError(t, err)
	n, err := SampleSizeMeans(d, 2.5, c, s)
	require.NoError(t, err)
	assert.InDelta(t, 40*6/c.DesignEffect(), n.Independent, 1e-5)
	for _, direction := range []float64{1, -1} {
		p, err := DetectableProportion(.4, direction, 40, c, s)
		require.NoError(t, err)
		assert.InDelta(t, 40*6/c.DesignEffect(), proportionSize(.4, p, s), 1e-6)
		assert.Equal(t, direction > 0, p > .4)
		v := CaseVariation{Exposure: 1, CV: .3}
		r, err := DetectableRate(1.5, direction, 60, v, s)
		require.NoError(t, err)
		m, err := SampleSizeRates(1.5, r, v, s)
		require.NoError(t, err)
		assert.InDelta(t, 60, m.Independent, 1e-6)
	}
	p, err := DetectableProportion(.02, -1, 5, c, s)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(p))
	r, err := DetectableRate(1.5, 1, 3, CaseVariation{1, 2}, s)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(r))
}

// Hayes & Bennett 1999, equation 2, written out for numbers of our own.
func TestSampleSizeOfRates(t *testing.T) {
	n, err := SampleSizeRates(.0148, .0104, CaseVariation{424, .29}, DefaultPower())
	require.NoError(t, err)
	by := 1 + 7.848879734*((.0148+.0104)/424+.29*.29*(.0148*.0148+.0104*.0104))/numeric.Square(.0044)
	assert.InDelta(t, by, n.Independent, 1e-6)
	assert.Equal(t, 37, n.Cases)
	assert.Greater(t, n.DesignEffect, 1.0)
}

func TestSettlingADifference(t *testing.T) {
	s := DefaultPower()
	// At the detectable difference on normal quantiles, no more cases are needed.
	assert.InDelta(t, 50, CasesFor(s.z()*.2, .2, 50, s), 1)
	assert.Equal(t, 200.0, CasesFor(s.z()*.1, .2, 50, s))
	assert.True(t, math.IsInf(CasesFor(0, .2, 50, s), 1))
	assert.InDelta(t, (2.2281388520+.8790578285)*.2, DetectableFromSE(.2, 10, s), 1e-9) // qt(.975,10), qt(.8,10)
}

func TestPlanningRefusesZeroThresholds(t *testing.T) {
	_, err := SampleSizeMeans(.5, 1, Unclustered(), PowerSettings{})
	require.Error(t, err)
	_, err = SampleSizeMeans(.5, 1, Clustering{}, DefaultPower())
	require.Error(t, err)
	_, err = SampleSizeMeans(0, 1, Unclustered(), DefaultPower())
	require.Error(t, err)
	_, err = SampleSizeProportions(.5, .5, Unclustered(), DefaultPower())
	require.Error(t, err)
	_, err = SampleSizeRates(1, 2, CaseVariation{}, DefaultPower())
	require.Error(t, err)
	assert.True(t, math.IsNaN(DetectableFromSE(1, 10, PowerSettings{})))
}

// Every way to ask for a plan that is none is refused.
func TestPlansThatAreNone(t *testing.T) {
	v, s := CaseVariation{Exposure: 1, CV: .3}, DefaultPower()
	for _, c := range []struct {
		start, direction float64
		cases            int
	}{{-1, 1, 30}, {math.Inf(1), -1, 30}, {math.NaN(), 1, 30}, {1, .5, 30}, {1, 0, 30}, {1, 1, 0}} {
		_, err := DetectableRate(c.start, c.direction, c.cases, v, s)
		require.Error(t, err, "%v", c)
		_, err = DetectableProportion(c.start, c.direction, c.cases, Unclustered(), s)
		if c.start != 1 || c.direction != 1 || c.cases < 1 {
			require.Error(t, err, "%v", c)
		}
	}
	for _, bad := range []CaseVariation{{}, {Exposure: -1, CV: 1}, {Exposure: 1, CV: -1}, {Exposure: math.Inf(1)}, {Exposure: 1, CV: math.NaN()}} {
		_, err := DetectableRate(1, 1, 30, bad, s)
		require.Error(t, err, "%v", bad)
		_, err = SampleSizeRates(1, 2, bad, s)
		require.Error(t, err, "%v", bad)
	}
	for _, bad := range []PowerSettings{{}, {Alpha: .05}, {Alpha: .05, Power: 1}, {Alpha: .9, Power: .8}, {Alpha: math.NaN(), Power: .8}} {
		_, err := SampleSizeMeans(1, 1, Unclustered(), bad)
		require.Error(t, err, "%v", bad)
		assert.True(t, math.IsNaN(CasesFor(1, 1, 30, bad)))
	}
	for _, bad := range []Clustering{{}, {PerCase: .5}, {PerCase: 2, ICC: -.1}, {PerCase: 2, ICC: 1.1}, {PerCase: math.Inf(1)}} {
		_, err := SampleSizeMeans(1, 1, bad, s)
		require.Error(t, err, "%v", bad)
		_, err = DetectableMean(1, 30, bad, s)
		require.Error(t, err, "%v", bad)
	}
}

// R 4.2.2: pt(q, df, ncp, lower = FALSE) + pt(-q, df, ncp), q = qt(1 - alpha/2, df);
// power.t.test(n = 20, delta = 1, sd = 1.2, sig.level = .01, strict = TRUE).
func TestPowerFromAStandardError(t *testing.T) {
	for _, c := range []struct{ difference, se, df, alpha, want float64 }{
		{.15, .05, 40, .05, .833301951469},
		{.15, .05, 12.5, .0125, .551070809414},
		{.1, .06, 25, .025, .255422087328},
		{1, 1.2 * math.Sqrt(2./20), 38, .01, .477902500775},
	} {
		assert.InDelta(t, c.want, PowerFromSE(c.difference, c.se, c.df, c.alpha), 1e-9)
		assert.InDelta(t, c.want, PowerFromSE(-c.difference, c.se, c.df, c.alpha), 1e-9)
		assert.InDelta(t, c.alpha, PowerFromSE(0, c.se, c.df, c.alpha), 1e-9, "no difference is called alpha of the time")
		assert.InDelta(t, .8, PowerFromSE(DetectableFromSE(c.se, c.df, PowerSettings{Alpha: c.alpha, Power: .8}), c.se, c.df, c.alpha), .012)
	}
	assert.True(t, math.IsNaN(PowerFromSE(1, 0, 3, .05)))
}
