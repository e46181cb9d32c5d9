package ask_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/cycle"
	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// TestNothingChangedIsNoImprovement: with constant truth and records that end while
// recent cases are under way, a change that did nothing is not called one. Recent cases
// are the quick ones, and the quick ones have fewer refinements: counting completed
// cases by their start called an improvement in 18 of 23 practices.
func TestNothingChangedIsNoImprovement(t *testing.T) {
	n := audittest.Practices(t, 39)
	target := 0.5
	lower, told, hollow, naive := 0, 0, 0, 0
	for seed := range uint64(n) {
		params := sampledata.Default()
		params.Cases, params.Months = 300, 34 // the last start a month before records end
		ds, _ := sampledata.Generate(params, 7000+seed)
		s := results.DefaultSettings()
		s.Questions.Criteria = &results.Criteria{
			Version:  1,
			Changes:  []results.ProtocolChange{{Month: params.FirstStart + 18, Description: "nothing"}},
			Criteria: []results.Criterion{{Name: "refined", Measure: results.CasesRefined, Within: 12, AtMost: &target}},
		}
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		r := cycle.Answer(p)
		require.Len(t, r.Changes, 1)
		d := r.Changes[0].Difference
		require.True(t, d.Low.OK(), r.Changes[0].Reading)
		naive += measure.OneIf(naiveHigh(p, params.FirstStart+18) < 0)
		lower += measure.OneIf(d.High < 0)
		told += measure.OneIf(d.High < 0 || d.Low > 0)
		for _, pt := range r.Criteria[0].Chart.Points {
			hollow += measure.OneIf(pt.Immature)
			assert.False(t, pt.Immature && (pt.Low.OK() || pt.Breached), "an immature quarter is judged by nothing")
		}
	}
	t.Logf("called lower in %d, changed in %d of %d; completed cases alone: lower in %d", lower, told, n, naive)
	assert.Greater(t, naive, audittest.Everyday(n/2, n/3), "the records would fool who counts completed cases")
	assert.LessOrEqual(t, float64(told), 0.05*float64(n)+2.5)
	assert.Positive(t, hollow)
}

// naiveHigh is the upper limit of the difference, after less before, of the share of
// completed cases refined.
func naiveHigh(p *rows.Set, change casebook.Month) float64 {
	var x, n [2]int
	for _, c := range p.FinishedCases() {
		k := measure.OneIf(p.Cases[c.Patient].Log.Start >= change)
		n[k]++
		x[k] += measure.OneIf(c.Refinements > 0)
	}
	share := func(k int) float64 { return float64(x[k]) / float64(n[k]) }
	variance := func(k int) float64 { return share(k) * (1 - share(k)) / float64(n[k]) }
	return share(1) - share(0) + 1.96*math.Sqrt(variance(0)+variance(1))
}

// TestOneCountEverywhere: a case log without courses does not show that none was refined.
func TestOneCountEverywhere(t *testing.T) {
	var b audittest.Build
	for i := range 20 {
		c := casebook.Case{ID: fmt.Sprint(i), Status: casebook.Completed}
		c.StatedRefinements = casebook.Some(measure.OneIf(i < 16))
		b.Dataset.Cases = append(b.Dataset.Cases, c)
	}
	target := 0.3
	s := results.DefaultSettings()
	s.Questions.Criteria = &results.Criteria{Version: 1, Criteria: []results.Criterion{{Name: "refined", Measure: results.CasesRefined, AtMost: &target}}}
	r := cycle.Answer(b.Prepare(t, s)).Criteria[0]
	assert.InDelta(t, 0.8, float64(r.Observed.Value), 1e-12)
	assert.Equal(t, results.NotMet, r.Answer, r.Reading)
	assert.Contains(t, r.Reading, "of completed cases refined")
	assert.Equal(t, "no-months", r.Warnings[len(r.Warnings)-1].ID)
}

// TestRefinementsWithoutMonthsAreInNoQuarter: a case log with starts, ends and counts of
// refinements shows no cohort, and a target for those refined within so many months is
// set beside completed cases, which says so.
func TestRefinementsWithoutMonthsAreInNoQuarter(t *testing.T) {
	var b audittest.Build
	for i := range 40 {
		start := casebook.NewMonth(2024, 1) + casebook.Month(i/4)
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{
			ID: fmt.Sprint(i), Status: casebook.Completed, Start: start, End: start + 14, StatedRefinements: casebook.Some(measure.OneIf(i%4 > 0)),
		})
	}
	target := 0.3
	s := results.DefaultSettings()
	change := results.ProtocolChange{Month: casebook.NewMonth(2024, 5), Description: "another way"}
	s.Questions.Criteria = &results.Criteria{
		Version: 1, Criteria: []results.Criterion{{Name: "refined", Measure: results.CasesRefined, AtMost: &target}}, Changes: []results.ProtocolChange{change},
	}
	answer := cycle.Answer(b.Prepare(t, s))
	r := answer.Criteria[0]
	assert.InDelta(t, 0.75, float64(r.Observed.Value), 1e-12)
	assert.NotContains(t, r.Reading, "within")
	assert.Empty(t, r.Chart.Points)
	assert.Equal(t, 40, r.Chart.NoQuarter)
	require.NotEmpty(t, answer.Changes)
	assert.Zero(t, answer.Changes[0].Before.Cases+answer.Changes[0].After.Cases)
}
