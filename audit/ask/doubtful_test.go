package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask"
	"shortfall/audit/ask/doubtful"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestListsWhatTouches: a misplaced decimal is listed with the comparison that it
// hides; one without an outcome, of too small a plan or of a course cut short with nothing.
func TestListsWhatTouches(t *testing.T) {
	var b audittest.Build
	for i := range 20 {
		b.Add("case "+string(rune('a'+i)), 1, 13, casebook.Rotation, 10, 6, audittest.Soft)
	}
	b.Add("case a", 1, 23, casebook.Rotation, -10, -61, audittest.Soft)
	b.Add("case b", 1, 23, casebook.Rotation, -200, audittest.NaN(), audittest.Soft)
	b.Add("case c", 1, 11, casebook.Vertical, 1, -2.1, casebook.StyleNone)
	b.Add("case d", 1, 23, casebook.Rotation, 1, -161, audittest.Soft) // a plan too small for a ratio
	b.Add("case y", 1, 13, casebook.Rotation, 10, 61, audittest.Soft)  // in a course that was cut short
	b.Dataset.Courses = []casebook.Course{{Case: casebook.CaseKey{ID: "case y"}, Number: 1, AlignersPlanned: casebook.Some(20), AlignersUsed: casebook.Some(9)}}
	for i := range b.Dataset.Movements {
		if m := &b.Dataset.Movements[i]; m.Case.ID == "case a" || m.Case.ID == "case c" { // most of them as ordinary as nobody asks about
			m.Confirmed = casebook.AsMeasured
		}
	}
	p := b.Prepare(t, results.DefaultSettings())
	hidden := results.Comparison{
		By: results.By{Axis: casebook.Rotation, Direction: casebook.MesialOut, Course: results.Initial}, Verdict: results.NotDistinguishable,
		Adjusted: results.Difference{Difference: 0.02},
		Checks:   []results.Check{{ID: "without-doubtful-amounts", Estimate: results.Difference{Difference: 0.15, Low: 0.05, High: 0.25}}},
	}
	other := hidden
	other.By.Direction, other.Verdict = casebook.MesialIn, results.Higher
	given := &results.Results{Comparisons: []results.Comparison{other, hidden}}
	require.NoError(t, doubtful.Question().Answer(t.Context(), p, given))
	a := given.Questions.Doubtful
	require.Equal(t, 5, a.Amounts)
	assert.Equal(t, "case a", a.List[0].Case)
	assert.Equal(t, results.Number(-61), a.List[0].Achieved)
	assert.Equal(t, "achieved is more than 3 times the plan", a.List[0].Doubt)
	assert.Contains(t, a.List[0].Touches, "the styles there: not distinguishable (difference 2 points, without such amounts 15 points)")
	assert.Equal(t, "no estimate", a.List[1].Touches)
	assert.NotContains(t, a.List[0].Touches, "higher", "of another direction")
	assert.NotContains(t, a.List[2].Touches, "styles")
	for i, id := range []string{"case d", "case y"} {
		assert.Equal(t, [2]string{id, "no estimate"}, [2]string{a.List[3+i].Case, a.List[3+i].Touches})
	}
	assert.Equal(t, 2, a.Confirmed)
	for i, x := range a.List {
		assert.Equal(t, i == 0 || i == 2, x.Confirmed, x.Case)
	}
	r := &results.Results{Questions: results.Questions{Doubtful: a}}
	require.Len(t, doubtful.Question().Section(r).Exhibits, 1)
	assert.Contains(t, doubtful.Question().Section(r).Lines[0].Text, "movements can hardly be right as recorded")
	assert.Contains(t, doubtful.Question().Section(r).Lines[0].Text, "Of them 2 were confirmed on reading.")
	r.Questions.Doubtful.Confirmed = 5
	assert.Contains(t, doubtful.Question().Section(r).Lines[0].Text, "somebody confirmed them all")
	assert.NotContains(t, doubtful.Question().Section(r).Lines[0].Text, "correct them")
	r.Questions.Doubtful.Amounts, r.Questions.Doubtful.Confirmed = 1, 1
	assert.Contains(t, doubtful.Question().Section(r).Lines[0].Text, "confirmed it on reading")
	r.Questions.Doubtful.Amounts, r.Questions.Doubtful.Confirmed = 5, 5
	doubtful.Question().Withhold(nil, r)
	assert.Empty(t, ask.SmallCount(r.Questions.Doubtful, 5, nil))
	assert.Empty(t, doubtful.Question().Section(r).Exhibits, "no case is named outside")
}
