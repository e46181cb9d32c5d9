package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Planned sizes are the same for either direction of the difference, do not
// depend on the unit, grow with power and with the correlation within a case
// by the design effect; swapping arms changes nothing.
func TestLawsOfPlanning(t *testing.T) {
	s, strong := DefaultPower(), PowerSettings{Alpha: .05, Power: .9}
	clustered := Clustering{PerCase: 10, ICC: .1}
	for name, size := range map[string]func(c Clustering, s PowerSettings, swap bool, unit float64) (SampleSize, error){
		"means": func(c Clustering, s PowerSettings, swap bool, unit float64) (SampleSize, error) {
			if swap {
				return SampleSizeMeans(-.3*unit, .8*unit, c, s)
			}
			return SampleSizeMeans(.3*unit, .8*unit, c, s)
		},
		"proportions": func(c Clustering, s PowerSettings, swap bool, _ float64) (SampleSize, error) {
			if swap {
				return SampleSizeProportions(.75, .5, c, s)
			}
			return SampleSizeProportions(.5, .75, c, s)
		},
		"rates": func(_ Clustering, s PowerSettings, swap bool, unit float64) (SampleSize, error) {
			v := CaseVariation{Exposure: 2 / unit, CV: .4}
			if swap {
				return SampleSizeRates(.5*unit, 1.2*unit, v, s)
			}
			return SampleSizeRates(1.2*unit, .5*unit, v, s)
		},
	} {
		base, err := size(Unclustered(), s, false, 1)
		require.NoError(t, err, name)
		swapped, err := size(Unclustered(), s, true, 1)
		require.NoError(t, err, name)
		scaled, err := size(Unclustered(), s, false, 25.4)
		require.NoError(t, err, name)
		assert.InEpsilon(t, base.Independent, swapped.Independent, 1e-9, name)
		assert.InEpsilon(t, base.Independent, scaled.Independent, 1e-9, name)
		more, err := size(Unclustered(), strong, false, 1)
		require.NoError(t, err, name)
		assert.Greater(t, more.Independent, base.Independent, name)
		if name != "rates" {
			teeth, err := size(clustered, s, false, 1)
			require.NoError(t, err, name)
			assert.InEpsilon(t, base.Independent, teeth.Independent, 1e-12, name)
			assert.InDelta(t, 1.9*base.Independent, float64(teeth.Observations), 3, name)
			assert.InDelta(t, clustered.DesignEffect(), DesignEffect(.1, 10, 10, 10), 1e-14)
		}
	}
	assert.InDelta(t, .025, PowerMeans(20, 0, .05), 1e-9) // without a difference: one tail of the test
	last := 0.0
	for _, n := range []float64{5, 10, 20, 40, 80} {
		p := PowerMeans(n, .5, .05)
		assert.Greater(t, p, last)
		assert.LessOrEqual(t, p, 1.0)
		last = p
	}
	d, err := DetectableMean(1, 30, clustered, s)
	require.NoError(t, err)
	inches, err := DetectableMean(1/25.4, 30, clustered, s)
	require.NoError(t, err)
	assert.InEpsilon(t, d/25.4, inches, 1e-8)
	up, err := DetectableProportion(.5, 1, 40, clustered, s)
	require.NoError(t, err)
	down, err := DetectableProportion(.5, -1, 40, clustered, s)
	require.NoError(t, err)
	assert.InDelta(t, 1-up, down, 1e-8) // about one half either way alike
	rate, err := DetectableRate(1.2, -1, 60, CaseVariation{Exposure: 2, CV: .4}, s)
	require.NoError(t, err)
	double, err := DetectableRate(2.4, -1, 60, CaseVariation{Exposure: 1, CV: .4}, s)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*rate, double, 1e-7)
	assert.InEpsilon(t, DetectableFromSE(.2, 12, s)*3, DetectableFromSE(.6, 12, s), 1e-14)
	assert.Equal(t, CasesToSettle(.1, .2, 50, s), CasesToSettle(-.1, .2, 50, s))
	assert.InEpsilon(t, CasesToSettle(.1, .2, 50, s), CasesToSettle(2.54, 5.08, 50, s), .05)
}

// E-values see neither direction nor which arm comes first; reliability has no
// unit.
func TestLawsOfSensitivity(t *testing.T) {
	a, b := EValueRR(2, 1.3, 3), EValueRR(.5, 1/3.0, 1/1.3)
	assert.InDelta(t, a.Estimate, b.Estimate, 1e-12)
	assert.InDelta(t, a.Limit, b.Limit, 1e-12)
	assert.GreaterOrEqual(t, a.Estimate, a.Limit)
	assert.GreaterOrEqual(t, a.Limit, 1.0)
	c, d := EValueSMD(.4, .1), EValueSMD(-.4, .1)
	assert.InDelta(t, c.Estimate, d.Estimate, 1e-12)
	assert.InDelta(t, c.Limit, d.Limit, 1e-12)
	e, f := EValueSMDLimits(.4, .1, .7), EValueSMDLimits(-.4, -.7, -.1)
	assert.InDelta(t, e.Estimate, f.Estimate, 1e-12)
	assert.InDelta(t, e.Limit, f.Limit, 1e-12)
	mm, err := Attenuation(.2, .5, 2)
	require.NoError(t, err)
	inches, err := Attenuation(.2/25.4, .5/25.4, 2/25.4)
	require.NoError(t, err)
	assert.InDelta(t, mm.Reliability, inches.Reliability, 1e-14)
	assert.InDelta(t, mm.ErrorShare, inches.ErrorShare, 1e-14)
}

// Charts: counting failures in place of successes mirrors a p chart, exposure
// in another unit scales a u chart, values in another unit scale both charts
// of X-bar and S; the signals are the same.
func TestLawsOfCharts(t *testing.T) {
	x, n := []int{3, 9, 4, 5, 2, 12, 6, 5}, []int{20, 31, 24, 22, 20, 25, 30, 21}
	not, days, weeks := make([]int, len(x)), make([]float64, len(x)), make([]float64, len(x))
	samples, scaled := make([][]float64, len(x)), make([][]float64, len(x))
	for i := range x {
		not[i], days[i], weeks[i] = n[i]-x[i], float64(7*n[i]), float64(n[i])
		for k := range 4 {
			v := float64(x[i]*(k+1)%7) + .1*float64(i)
			samples[i], scaled[i] = append(samples[i], v), append(scaled[i], 25.4*v)
		}
	}
	for _, limits := range []ChartLimits{StandardLimits, ExactLimits} {
		p, err := PChart(x, n, 1, limits)
		require.NoError(t, err)
		q, err := PChart(not, n, 1, limits)
		require.NoError(t, err)
		same := func(a, b Chart, mirror bool, factor float64) {
			t.Helper()
			for i, v := range a.Points {
				w := b.Points[i]
				want := []float64{v.Value, v.Low, v.High, v.Centre}
				if mirror {
					want = []float64{1 - v.Value, 1 - v.High, 1 - v.Low, 1 - v.Centre}
				}
				for k, got := range []float64{w.Value, w.Low, w.High, w.Centre} {
					assert.InDelta(t, factor*want[k], got, 1e-9, "%s point %d", limits, i)
				}
				assert.LessOrEqual(t, w.Low, w.Centre)
				assert.GreaterOrEqual(t, w.High, w.Centre)
				assert.Equal(t, v.Out, w.Out)
			}
			assert.Equal(t, a.Signals, b.Signals)
		}
		same(p, q, true, 1)
		u, err := UChart(x, weeks, 1, limits)
		require.NoError(t, err)
		v, err := UChart(x, days, 1, limits)
		require.NoError(t, err)
		same(u, v, false, 1./7)
		a, b, err := XbarS(samples, limits)
		require.NoError(t, err)
		c, d, err := XbarS(scaled, limits)
		require.NoError(t, err)
		same(a, c, false, 25.4)
		same(b, d, false, 25.4)
	}
}

// Funnel limits lie in order, draw together as observations grow, and mirror
// with the target.
func TestLawsOfFunnels(t *testing.T) {
	probabilities := []float64{.001, .025, .975, .999}
	mirrored := []float64{.999, .975, .025, .001}
	width := 1.0
	for _, n := range []int{30, 60, 120, 480} {
		l, err := FunnelBinomial(.3, n, probabilities...)
		require.NoError(t, err)
		m, err := FunnelBinomial(.7, n, mirrored...)
		require.NoError(t, err)
		for i, v := range l.Limits {
			assert.True(t, v >= 0 && v <= 1 && (i == 0 || v > l.Limits[i-1]))
			// Interpolation is from the upper end of a step, so mirrors differ by one.
			assert.InDelta(t, v, 1-m.Limits[i], 1.001/float64(n))
		}
		assert.Less(t, l.Limits[3]-l.Limits[0], width)
		width = l.Limits[3] - l.Limits[0]
	}
	width = math.Inf(1)
	for _, expected := range []float64{2, 5, 20, 100} {
		l, err := FunnelPoisson(expected, probabilities...)
		require.NoError(t, err)
		assert.IsNonDecreasing(t, l.Limits) // clipped at 0 for few
		assert.Less(t, l.Limits[3]-l.Limits[0], width)
		width = l.Limits[3] - l.Limits[0]
		normal, err := FunnelNormal(0, 1/expected, .1, math.Inf(-1), math.Inf(1), probabilities...)
		require.NoError(t, err)
		assert.InDelta(t, normal.Limits[0], -normal.Limits[3], 1e-12)
	}
}
