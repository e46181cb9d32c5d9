package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/planning"
	"shortfall/audit/stats/prop"
)

// Planned sizes are the same for either direction of the difference, do not
// depend on the unit, grow with power and with the correlation within a case
// by the design effect; swapping arms changes nothing.
func TestLawsOfPlanning(t *testing.T) {
	s, strong := planning.DefaultPower(), planning.PowerSettings{Alpha: .05, Power: .9}
	clustered := planning.Clustering{PerCase: 10, ICC: .1}
	for name, size := range map[string]func(c planning.Clustering, s planning.PowerSettings, swap bool, unit float64) (planning.SampleSize, error){
		"means": func(c planning.Clustering, s planning.PowerSettings, swap bool, unit float64) (planning.SampleSize, error) {
			if swap {
				return planning.SampleSizeMeans(-.3*unit, .8*unit, c, s)
			}
			return planning.SampleSizeMeans(.3*unit, .8*unit, c, s)
		},
		"proportions": func(c planning.Clustering, s planning.PowerSettings, swap bool, _ float64) (planning.SampleSize, error) {
			if swap {
				return planning.SampleSizeProportions(.75, .5, c, s)
			}
			return planning.SampleSizeProportions(.5, .75, c, s)
		},
		"rates": func(_ planning.Clustering, s planning.PowerSettings, swap bool, unit float64) (planning.SampleSize, error) {
			v := planning.CaseVariation{Exposure: 2 / unit, CV: .4}
			if swap {
				return planning.SampleSizeRates(.5*unit, 1.2*unit, v, s)
			}
			return planning.SampleSizeRates(1.2*unit, .5*unit, v, s)
		},
	} {
		base, err := size(planning.Unclustered(), s, false, 1)
		require.NoError(t, err, name)
		swapped, err := size(planning.Unclustered(), s, true, 1)
		require.NoError(t, err, name)
		scaled, err := size(planning.Unclustered(), s, false, 25.4)
		require.NoError(t, err, name)
		assert.InEpsilon(t, base.Independent, swapped.Independent, 1e-9, name)
		assert.InEpsilon(t, base.Independent, scaled.Independent, 1e-9, name)
		more, err := size(planning.Unclustered(), strong, false, 1)
		require.NoError(t, err, name)
		assert.Greater(t, more.Independent, base.Independent, name)
		if name != "rates" {
			teeth, err := size(clustered, s, false, 1)
			require.NoError(t, err, name)
			assert.InEpsilon(t, base.Independent, teeth.Independent, 1e-12, name)
			assert.InDelta(t, 1.9*base.Independent, float64(teeth.Observations), 3, name)
			assert.InDelta(t, clustered.DesignEffect(), prop.DesignEffect(.1, 10, 10, 10), 1e-14)
		}
	}
	assert.InDelta(t, .025, planning.PowerMeans(20, 0, .05), 1e-9) // without a difference: one tail of the test
	last := 0.0
	for _, n := range []float64{5, 10, 20, 40, 80} {
		p := planning.PowerMeans(n, .5, .05)
		assert.Greater(t, p, last)
		assert.LessOrEqual(t, p, 1.0)
		last = p
	}
	d, err := planning.DetectableMean(1, 30, clustered, s)
	require.NoError(t, err)
	inches, err := planning.DetectableMean(1/25.4, 30, clustered, s)
	require.NoError(t, err)
	assert.InEpsilon(t, d/25.4, inches, 1e-8)
	up, err := planning.DetectableProportion(.5, 1, 40, clustered, s)
	require.NoError(t, err)
	down, err := planning.DetectableProportion(.5, -1, 40, clustered, s)
	require.NoError(t, err)
	assert.InDelta(t, 1-up, down, 1e-8) // about one half either way alike
	rate, err := planning.DetectableRate(1.2, -1, 60, planning.CaseVariation{Exposure: 2, CV: .4}, s)
	require.NoError(t, err)
	double, err := planning.DetectableRate(2.4, -1, 60, planning.CaseVariation{Exposure: 1, CV: .4}, s)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*rate, double, 1e-7)
	assert.InEpsilon(t, planning.DetectableFromSE(.2, 12, s)*3, planning.DetectableFromSE(.6, 12, s), 1e-14)
	assert.InDelta(t, planning.PowerFromSE(.3, .1, 20, .05), planning.PowerFromSE(3, 1, 20, .05), 1e-12)
	assert.Greater(t, planning.PowerFromSE(.3, .1, 20, .05), planning.PowerFromSE(.3, .1, 20, .01))
	assert.Equal(t, planning.CasesFor(.1, .2, 50, s), planning.CasesFor(-.1, .2, 50, s))
	assert.InEpsilon(t, planning.CasesFor(.1, .2, 50, s), planning.CasesFor(2.54, 5.08, 50, s), .05)
}

// E-values see neither direction nor which arm comes first; reliability has no
// unit.
func TestLawsOfSensitivity(t *testing.T) {
	a, b := confound.EValueRR(2, 1.3, 3), confound.EValueRR(.5, 1/3.0, 1/1.3)
	assert.InDelta(t, a.Estimate, b.Estimate, 1e-12)
	assert.InDelta(t, a.Limit, b.Limit, 1e-12)
	assert.GreaterOrEqual(t, a.Estimate, a.Limit)
	assert.GreaterOrEqual(t, a.Limit, 1.0)
	c, d := confound.EValueSMD(.4, .1), confound.EValueSMD(-.4, .1)
	assert.InDelta(t, c.Estimate, d.Estimate, 1e-12)
	assert.InDelta(t, c.Limit, d.Limit, 1e-12)
	e, f := confound.EValueSMDLimits(.4, .1, .7), confound.EValueSMDLimits(-.4, -.7, -.1)
	assert.InDelta(t, e.Estimate, f.Estimate, 1e-12)
	assert.InDelta(t, e.Limit, f.Limit, 1e-12)
	mm, err := agree.Attenuation(.2, .5, 2)
	require.NoError(t, err)
	inches, err := agree.Attenuation(.2/25.4, .5/25.4, 2/25.4)
	require.NoError(t, err)
	assert.InDelta(t, mm.Reliability, inches.Reliability, 1e-14)
	assert.InDelta(t, mm.ErrorShare, inches.ErrorShare, 1e-14)
}
