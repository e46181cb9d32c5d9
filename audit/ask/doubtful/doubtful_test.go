package doubtful

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestListsWhatTouches: a misplaced decimal is listed with the comparison that it
// hides, and one without an outcome with nothing.
func TestListsWhatTouches(t *testing.T) {
	var b audittest.Build
	for i := range 20 {
		b.Add("case "+string(rune('a'+i)), 1, 13, casebook.Rotation, 10, 6, audittest.Soft)
	}
	b.Add("case a", 1, 23, casebook.Rotation, -10, -61, audittest.Soft)
	b.Add("case b", 1, 23, casebook.Rotation, -200, audittest.NaN(), audittest.Soft)
	b.Add("case c", 1, 11, casebook.Vertical, 1, -2.1, casebook.StyleNone)
	p := b.Prepare(t, results.DefaultSettings())
	hidden := results.Comparison{
		By: results.By{Axis: casebook.Rotation, Direction: casebook.MesialOut, Course: results.Initial}, Verdict: results.NotDistinguishable,
		Adjusted: results.Difference{Difference: 0.02},
		Checks:   []results.Check{{ID: "without-doubtful-amounts", Estimate: results.Difference{Difference: 0.15, Low: 0.05, High: 0.25}}},
	}
	a := Answer(p, []results.Comparison{hidden})
	require.Equal(t, 3, a.Amounts)
	assert.Equal(t, "case a", a.List[0].Case)
	assert.Equal(t, results.Number(-61), a.List[0].Achieved)
	assert.Equal(t, "achieved is more than 3 times the plan", a.List[0].Doubt)
	assert.Contains(t, a.List[0].Touches, "the styles there: not distinguishable (difference 2 points, without such amounts 15 points)")
	assert.Equal(t, "no estimate", a.List[1].Touches)
	assert.NotContains(t, a.List[2].Touches, "styles")
	r := &results.Results{Questions: results.Questions{Doubtful: a}}
	require.Len(t, section(r).Exhibits, 1)
	Withhold(&r.Questions.Doubtful)
	assert.Empty(t, ask.SmallCount(r.Questions.Doubtful, 5, nil))
	assert.Empty(t, section(r).Exhibits, "no case is named outside")
}
