package ask_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask"
	"shortfall/audit/ask/stated"
	"shortfall/audit/audittest"
	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// practice has 30 cases with three rotations each, whose outcomes are measured, or
// kept as a percentage of the plan alone.
func practiceStated(t *testing.T, percent bool) *rows.Set {
	t.Helper()
	var b audittest.Build
	for i := range 30 {
		for k, tooth := range []casebook.Tooth{13, 14, 15} {
			planned := -(6 + float64((3*i+5*k)%9))
			share := 55 + float64((7*i+11*k)%40)
			achieved := planned * share / 100
			if percent {
				achieved = audittest.NaN()
			}
			m := b.Add(fmt.Sprintf("case %02d", i), 1, tooth, casebook.Rotation, planned, achieved, audittest.Soft)
			if percent {
				m.StatedPercent = casebook.Some(share)
			}
		}
	}
	return b.Prepare(t, results.DefaultSettings())
}

// TestDerivedIsWhatMeasuredWouldBe: the derived expression and its interval are those
// of the same amounts measured, and such movements enter no other table.
func TestDerivedIsWhatMeasuredWouldBe(t *testing.T) {
	measured, err := grid.Expression(context.Background(), practiceStated(t, false))
	require.NoError(t, err)
	p := practiceStated(t, true)
	a := answered(t, stated.Question(), p).Questions.Stated
	require.Len(t, a.Cells, 1)
	found := false
	for _, c := range measured {
		if c.By == a.Cells[0].By {
			found = true
			assert.Equal(t, c.Cases, a.Cells[0].Cases)
			assert.InEpsilon(t, float64(c.Estimate), float64(a.Cells[0].Expression.Value), 1e-12)
			assert.InEpsilon(t, float64(c.Low), float64(a.Cells[0].Expression.Low), 1e-9)
		}
	}
	assert.True(t, found)
	assert.Empty(t, p.Analysed, "nothing of it is analysed as measured")
	assert.Empty(t, answered(t, stated.Question(), practiceStated(t, false)).Questions.Stated.Cells)
}

func TestStatedPercentagesAreNamedAsSuch(t *testing.T) {
	r := &results.Results{Questions: results.Questions{Stated: answered(t, stated.Question(), practiceStated(t, true)).Questions.Stated}}
	s := stated.Question().Section(r)
	require.Len(t, s.Exhibits, 1)
	assert.Contains(t, s.Exhibits[0].Title, "not measured")
	assert.Equal(t, results.Caution, s.Lines[0].Role)
	assert.Empty(t, stated.Question().Section(&results.Results{}).Exhibits)

	few := results.DefaultSettings()
	few.MinCellCases = 40
	stated.Question().Withhold(&rows.Set{Settings: few}, r)
	assert.Empty(t, ask.SmallCount(r.Questions.Stated, 5, nil))
	assert.True(t, r.Questions.Stated.Cells[0].Suppressed)
}
