package story

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Rows and movements add up on paper: rows of a log of cases are no movements, and a
// row of a wide sheet holds several.
func TestRowsAndMovementsAddUp(t *testing.T) {
	flow := func(accepted, superseded, movements int) results.Flow {
		return results.Flow{Rows: casebook.Counts{Accepted: accepted}, Superseded: superseded, Steps: []results.FlowStep{{Movements: movements}}}
	}
	assert.Equal(t, []string{"40 about cases, courses or repeated measurements"}, otherRows(flow(366, 0, 326)))
	assert.Equal(t, []string{"38 about cases, courses or repeated measurements"}, otherRows(flow(366, 2, 326)))
	assert.Equal(t, []string{"a row may hold several movements"}, otherRows(flow(100, 0, 326)))
	assert.Empty(t, otherRows(flow(326, 0, 326)))
}

func TestManyRejectedRowsAreSaidOnPageOne(t *testing.T) {
	over := func(rejected int) string {
		r := &results.Results{}
		r.Flow.Rows = casebook.Counts{Read: 400, Rejected: rejected}
		return (&teller{r: r}).over()
	}
	assert.Contains(t, over(5), "5 of 400\u00a0rows rejected")
	assert.NotContains(t, over(4), "rejected")
}

// TestAllThatWasPlanned: a number a unit, and the styles as they stand, said to compare
// nothing; nothing of it where it is not there.
func TestAllThatWasPlanned(t *testing.T) {
	r := base()
	Tell(r)
	for _, x := range r.Front.Choice.Statements {
		assert.NotContains(t, x.Text, "In all")
	}
	units := func(mm, deg results.Number) []results.UnitAchieved {
		return []results.UnitAchieved{
			{Unit: casebook.Millimetre, Cases: 40, Movements: 90, Spread: results.Spread{Value: mm, Low: mm - 0.03, High: mm + 0.03}},
			{Unit: casebook.Degree, Cases: 40, Movements: 90, Spread: results.Spread{Value: deg, Low: none, High: none}},
		}
	}
	r.InAll = []results.StyleAchieved{{Units: units(0.55, 0.54)}, {Style: casebook.StyleNone, Units: units(0.46, 0.47)}, {Style: casebook.ClinicianDesigned, Units: units(0.66, 0.58)}}
	Tell(r)
	last := r.Front.Choice.Statements[len(r.Front.Choice.Statements)-1].Text
	assert.Contains(t, last, "In all, 55\u00a0% of the planned millimetres (95\u00a0%\u00a0CI 52 to 58) and 54\u00a0% of the planned degrees were achieved")
	assert.Contains(t, last, "no attachment 46\u00a0% of mm and 47\u00a0% of degrees; clinician-designed 66\u00a0% of mm and 58\u00a0% of degrees")
	assert.Contains(t, last, "no comparison")
}

// TestTheFlowAlwaysHasWhatIsAnalysed: where nothing leaves after that step, the last box
// stands for it and says so; where some leaves, that step has a box of its own.
func TestTheFlowAlwaysHasWhatIsAnalysed(t *testing.T) {
	lost := func(n int) []results.Exclusion {
		return []results.Exclusion{{ID: "outcome-missing", Reason: "x", Movements: n}}
	}
	r := base()
	titles := func(last int, left []results.Exclusion) (out []string) {
		r.Flow.Steps = []results.FlowStep{
			{Title: "Planned, course used in full or use not recorded", Movements: r.Scope.Movements + 10, Cases: 90, Excluded: lost(10)},
			{Title: "Analysed: planned and outcome measured", Movements: r.Scope.Movements, Cases: 90, Excluded: left},
			{Title: "Analysed, with a software-suggested or clinician-designed attachment", Movements: last, Cases: 90},
		}
		Tell(r)
		for _, s := range r.Front.Flow.Steps {
			out = append(out, s.Title)
		}
		return out
	}
	all := titles(r.Scope.Movements, nil)
	require.Len(t, all, 2)
	assert.Equal(t, "analysed, all with an attachment of either style, in 90\u00a0cases", all[1])
	some := titles(r.Scope.Movements-5, lost(5))
	require.Len(t, some, 3)
	assert.Equal(t, "analysed, in 90\u00a0cases", some[1])
	assert.Equal(t, "with an attachment of either style, in 90\u00a0cases", some[2])
}
