package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/confound"
)

// VanderWeele & Ding 2017, Ann Intern Med 167:268-274: RR 3.9 (1.8, 8.7) gives
// 7.26 and 3.0; RR .80 (.71, .91) is the example of R's EValue package.
func TestEValues(t *testing.T) {
	e := confound.EValueRR(3.9, 1.8, 8.7)
	assert.InDelta(t, 7.2630343, e.Estimate, 5e-8)
	assert.InDelta(t, 3.0, e.Limit, 1e-12)
	e = confound.EValueRR(.80, .71, .91)
	assert.InDelta(t, 1.8090170, e.Estimate, 5e-8)
	assert.InDelta(t, 1.4285714, e.Limit, 5e-8)
	assert.InDelta(t, 2.5291, confound.EValueSMDLimits(.5, .3, .7).Estimate, 5e-5)
	assert.Equal(t, 1.0, confound.EValueRR(1.2, .9, 1.6).Limit)
	assert.Equal(t, 1.0, confound.EValueRR(1, .9, 1.6).Estimate)
	// Turning the comparison round changes nothing.
	a, b := confound.EValueRR(2, 1.5, 2.5), confound.EValueRR(1/2.0, 1/2.5, 1/1.5)
	assert.InDelta(t, a.Estimate, b.Estimate, 1e-12)
	assert.InDelta(t, a.Limit, b.Limit, 1e-12)
	assert.True(t, math.IsNaN(confound.EValueRR(-1, 1, 2).Estimate))
	assert.True(t, math.IsNaN(confound.EValueRR(2, 3, 1).Limit))
}

// Austin 2009, Stat Med 28:3083-3107: definition, by hand.
func TestStandardizedDifferences(t *testing.T) {
	a, b := []float64{1, 2, 3}, []float64{2, 4, 6}
	assert.InDelta(t, -2/math.Sqrt(2.5), confound.StandardizedMeanDifference(a, b), 1e-15)
	assert.InDelta(t, 2/math.Sqrt(2.5), confound.StandardizedMeanDifference(b, a), 1e-15)
	assert.InDelta(t, .1/math.Sqrt((.24+.25)/2), confound.StandardizedShareDifference(.6, .5), 1e-12)
	assert.Zero(t, confound.StandardizedMeanDifference([]float64{2, 2}, []float64{2, 2}))
	assert.True(t, math.IsInf(confound.StandardizedMeanDifference([]float64{3, 3}, []float64{2, 2}), 1))
	assert.True(t, math.IsNaN(confound.StandardizedMeanDifference(nil, b)))
	assert.True(t, math.IsNaN(confound.StandardizedShareDifference(1.2, .5)))
}

// The limits of a difference are turned into risk ratios one by one: normal 95 %
// limits give the published form, wider ones bring the limit nearer 1.
func TestEValueOfOwnLimits(t *testing.T) {
	d, se := .8, .15
	published := confound.EValueRR(math.Exp(.91*d), math.Exp(.91*d-1.78*se), math.Exp(.91*d+1.78*se)) // VanderWeele & Ding 2017, table 2
	own := confound.EValueSMDLimits(d, d-1.78/.91*se, d+1.78/.91*se)
	assert.InDelta(t, published.Estimate, own.Estimate, 1e-12)
	assert.InDelta(t, published.Limit, own.Limit, 1e-12)
	wide := confound.EValueSMDLimits(d, d-2.576*se, d+2.576*se)
	assert.Equal(t, own.Estimate, wide.Estimate)
	assert.Less(t, wide.Limit, own.Limit)
	assert.InDelta(t, confound.EValueSMDLimits(-d, -d-.3, -d+.3).Limit, confound.EValueSMDLimits(d, d-.3, d+.3).Limit, 1e-12)
	assert.EqualValues(t, 1, confound.EValueSMDLimits(.2, -.1, .5).Limit)
}
