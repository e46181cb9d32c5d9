package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/planning"
)

// What could have been seen carries the unit and grows with power; power has no unit
// and sees no direction; nor do the cases a difference needs.
func TestLawsOfPlanning(t *testing.T) {
	s, strong := planning.PowerSettings{Alpha: .05, Power: .8}, planning.PowerSettings{Alpha: .05, Power: .9}
	assert.Greater(t, planning.DetectableFromSE(.2, 12, strong), planning.DetectableFromSE(.2, 12, s))
	assert.Greater(t, planning.DetectableFromSE(.2, 12, planning.PowerSettings{Alpha: .01, Power: .8}), planning.DetectableFromSE(.2, 12, s))
	assert.InEpsilon(t, planning.DetectableFromSE(.2, 12, s)*3, planning.DetectableFromSE(.6, 12, s), 1e-14)
	assert.InDelta(t, planning.PowerFromSE(.3, .1, 20, .05), planning.PowerFromSE(3, 1, 20, .05), 1e-12)
	assert.Greater(t, planning.PowerFromSE(.3, .1, 20, .05), planning.PowerFromSE(.3, .1, 20, .01))
	assert.Equal(t, planning.MoreCasesFor(.1, .2, 30, 50, s), planning.MoreCasesFor(-.1, .2, 30, 50, s))
	assert.InEpsilon(t, planning.MoreCasesFor(.1, .2, 30, 50, s), planning.MoreCasesFor(2.54, 5.08, 30, 50, s), .05)
}

// E-values see neither direction nor which arm comes first.
func TestLawsOfSensitivity(t *testing.T) {
	a, b := confound.EValueRR(2, 1.3, 3), confound.EValueRR(.5, 1/3.0, 1/1.3)
	assert.InDelta(t, a.Estimate, b.Estimate, 1e-12)
	assert.InDelta(t, a.Limit, b.Limit, 1e-12)
	assert.GreaterOrEqual(t, a.Estimate, a.Limit)
	assert.GreaterOrEqual(t, a.Limit, 1.0)
	e, f := confound.EValueSMDLimits(.4, .1, .7), confound.EValueSMDLimits(-.4, -.7, -.1)
	assert.InDelta(t, e.Estimate, f.Estimate, 1e-12)
	assert.InDelta(t, e.Limit, f.Limit, 1e-12)
	assert.InDelta(t, confound.StandardizedShareDifference(.3, .5), -confound.StandardizedShareDifference(.5, .3), 1e-14)
	assert.InDelta(t, confound.StandardizedShareDifference(.3, .5), confound.StandardizedShareDifference(.5, .7), 1e-14)
}
