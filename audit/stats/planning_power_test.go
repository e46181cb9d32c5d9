package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/planning"
)

func TestSettlingADifference(t *testing.T) {
	s := planning.PowerSettings{Alpha: .05, Power: .8}
	at := planning.DetectableFromSE(.2, 40, s)
	assert.Zero(t, planning.MoreCasesFor(at, .2, 40, 50, s), "at the detectable difference no more cases are needed")
	assert.Equal(t, 150.0, planning.MoreCasesFor(at/2, .2, 40, 50, s), "half of it takes four times the cases")
	assert.Zero(t, planning.MoreCasesFor(2*at, .2, 40, 50, s))
	assert.True(t, math.IsInf(planning.MoreCasesFor(0, .2, 40, 50, s), 1))
	assert.True(t, math.IsNaN(planning.MoreCasesFor(.1, .2, 40, 0, s)) && math.IsNaN(planning.MoreCasesFor(.1, math.NaN(), 40, 5, s)))
	assert.InDelta(t, (2.2281388520+.8790578285)*.2, planning.DetectableFromSE(.2, 10, s), 1e-9) // qt(.975,10), qt(.8,10)
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
		assert.InDelta(t, c.want, planning.PowerFromSE(c.difference, c.se, c.df, c.alpha), 1e-9)
		assert.InDelta(t, c.want, planning.PowerFromSE(-c.difference, c.se, c.df, c.alpha), 1e-9)
		assert.InDelta(t, c.alpha, planning.PowerFromSE(0, c.se, c.df, c.alpha), 1e-9, "no difference is called alpha of the time")
		assert.InDelta(t, .8, planning.PowerFromSE(planning.DetectableFromSE(c.se, c.df, planning.PowerSettings{Alpha: c.alpha, Power: .8}), c.se, c.df, c.alpha), .012)
	}
	assert.True(t, math.IsNaN(planning.PowerFromSE(1, 0, 3, .05)))
}
