package between

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

// TestPlanningNeverLooksAtWhatWasSeen: power and more cases answer for the difference
// that is named, at the level of the verdict; a larger difference seen changes neither.
func TestPlanningNeverLooksAtWhatWasSeen(t *testing.T) {
	extrusion := func(effect, worth float64) *results.Comparison {
		practice := simulate.New(40, 0.35, 0.3, 0)
		practice.Directions = []casebook.Direction{casebook.Extrusion}
		ds := practice.Make(5)
		for i := range ds.Movements {
			if m := &ds.Movements[i]; m.Style == casebook.ClinicianDesigned {
				m.Achieved.Value += effect * m.Planned
			}
		}
		s := results.DefaultSettings()
		s.WorthPoints = worth
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		cs, err := Comparisons(context.Background(), p)
		require.NoError(t, err)
		for i := range cs {
			if cs[i].By.WholeDirection() {
				return &cs[i]
			}
		}
		t.Fatal("no comparison")
		return nil
	}
	base := extrusion(0, 0)
	assert.InDelta(t, 0.05, float64(base.VerdictLevel), 1e-12)
	seen := extrusion(0.3, 0)
	assert.Greater(t, float64(seen.Adjusted.Difference), float64(base.Adjusted.Difference)+0.29)
	for _, x := range [][2]results.Number{{base.Power, seen.Power}, {base.MoreCases, seen.MoreCases}, {base.Detectable, seen.Detectable}} {
		assert.InEpsilon(t, float64(x[0]), float64(x[1]), 1e-9)
	}
	at := extrusion(0, 100*float64(base.Detectable))
	assert.InDelta(t, 0.8, float64(at.Power), 0.01, "what could be seen is what has 80 %")
	assert.Zero(t, at.MoreCases)
	assert.Greater(t, extrusion(0, 20).Power, base.Power)
	assert.Less(t, extrusion(0, 20).MoreCases, base.MoreCases)
}
