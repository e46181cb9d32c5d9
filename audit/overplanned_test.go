package audit_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

// TestPlansMadeLargerAreSaid: in practices whose clinicians plan half as much again as is
// needed, and move as much as others do, "less of the plan" is told with both amounts; where
// plans are of like size and less is moved, it hardly ever is.
func TestPlansMadeLargerAreSaid(t *testing.T) {
	called, said := map[bool]int{}, map[bool]int{}
	for seed := range uint64(audittest.Practices(t, 4)) {
		for _, enlarged := range []bool{true, false} {
			p := simulate.New(120, 0.25, 0.1, 0)
			p.Amount = func(rng *rand.Rand, _ bool, _ *simulate.Plan) float64 { return math.Exp(0.45 * rng.NormFloat64()) }
			if p.Enlarged = 1.5; !enlarged {
				p.Enlarged = 0
				for _, d := range p.Directions {
					p.Effect[d] = -0.2
				}
			}
			r := mustRun(t, p.Make(40+seed), nil)
			for i := range r.Comparisons {
				c := &r.Comparisons[i]
				if !whole(c.By) || c.Verdict != results.Lower {
					continue
				}
				called[enlarged]++
				require.NotNil(t, c.Amounts)
				if text := wording.Overplanned(c); text != "" {
					said[enlarged]++
					assert.Contains(t, c.Reading, text)
					assert.Contains(t, r.Front.Headline, "of the planned ")
					assert.Contains(t, r.Front.Under, "this need not be less movement")
					assert.Contains(t, styleText(r), "were larger (")
				}
			}
		}
	}
	t.Logf("said of %d of %d directions with enlarged plans, of %d of %d with plans of like size", said[true], called[true], said[false], called[false])
	require.Greater(t, min(called[true], called[false]), 3)
	assert.GreaterOrEqual(t, 100*said[true], 80*called[true])
	assert.LessOrEqual(t, 100*said[false], 10*called[false])
}

// TestOverplannedNeedsBoth: larger plans alone are no reason to doubt less movement, and
// neither is as much movement of like plans; the styles change places with the verdict.
func TestOverplannedNeedsBoth(t *testing.T) {
	of := func(v results.Verdict, planned, achieved [2]results.Number) bool {
		c := results.Comparison{Verdict: v, Unit: casebook.Millimetre, Amounts: &results.Amounts{
			Planned:  results.ArmAmounts{Software: 1.8, Clinician: 2.4, Difference: results.Difference{Low: planned[0], High: planned[1]}},
			Achieved: results.ArmAmounts{Software: 1.3, Clinician: 1.32, Difference: results.Difference{Low: achieved[0], High: achieved[1]}},
		}}
		if v == results.Lower && c.Overplanned() {
			assert.Contains(t, wording.Overplanned(&c), "Plans with clinician-designed attachments were larger (2.40 v 1.80\u00a0mm), and not clearly less was moved (1.32 v 1.30\u00a0mm)")
		}
		assert.Equal(t, c.Overplanned(), wording.Overplanned(&c) != "")
		return c.Overplanned()
	}
	larger, smaller, alike := [2]results.Number{0.1, 0.9}, [2]results.Number{-0.9, -0.1}, [2]results.Number{-0.2, 0.2}
	assert.True(t, of(results.Lower, larger, alike))
	assert.True(t, of(results.Lower, larger, larger))
	assert.False(t, of(results.Lower, larger, smaller), "less was moved")
	assert.False(t, of(results.Lower, alike, alike), "the plans are alike")
	assert.False(t, of(results.Lower, smaller, alike))
	assert.True(t, of(results.Higher, smaller, alike))
	assert.False(t, of(results.Higher, smaller, larger))
	assert.False(t, of(results.Higher, larger, alike))
	assert.False(t, of(results.NotDistinguishable, larger, alike))
	assert.False(t, (&results.Comparison{Verdict: results.Lower}).Overplanned())
}
