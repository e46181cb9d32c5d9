package ask_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/outlook"
	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

func TestWaitForUndecided(t *testing.T) {
	var b audittest.Build
	for i := range 24 { // two cases a month for a year
		b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: fmt.Sprintf("%02d", i), Start: casebook.NewMonth(2025, 1) + casebook.Month(i/2)})
		b.Add(fmt.Sprintf("%02d", i), 1, 11, casebook.Rotation, 10, 5, audittest.Soft)
	}
	b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: "old", Start: casebook.NewMonth(2023, 1)})
	b.Add("old", 1, 11, casebook.Rotation, 10, 5, audittest.Soft)
	p := b.Prepare(t, results.DefaultSettings())
	rate, quarters := outlook.CaseRate(p)
	assert.Equal(t, results.Number(6), rate, "of a usual quarter; a year may be mistyped")
	assert.Equal(t, 5, quarters)
	arms := []results.Arm{{Cases: 24}, {Cases: 12}}
	res := &results.Results{Comparisons: []results.Comparison{
		{Verdict: results.Higher, Detectable: 0.1, Arms: arms},
		{Verdict: results.NotDistinguishable, Detectable: 0.1, MoreCases: 10, Both: 12, Arms: arms},
		{Verdict: results.NotDistinguishable, Detectable: 0.1, MoreCases: results.NotEstimable, Both: 12, Arms: arms},
	}}
	out := results.Outlook{Quarters: quarters}
	outlook.Undecided(p, &out, res)
	require.Len(t, out.Undecided, 2)
	assert.Equal(t, results.Number(2.4), out.Undecided[0].CasesPerQuarter, "12 cases with both styles in 5 quarters")
	assert.Equal(t, results.Number(5), out.Undecided[0].Quarters)
	assert.Contains(t, out.Undecided[0].Sentence, "5\u00a0quarters")
	assert.Contains(t, out.Undecided[0].Sentence, "would find one of 10 points", "the margin, not the difference seen")
	assert.False(t, out.Undecided[1].Quarters.OK())
	assert.Contains(t, out.Undecided[1].Sentence, "cannot be told")
}

func TestPrecisionInCases(t *testing.T) {
	by := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	res := &results.Results{Expression: []results.Cell{{By: by, Cases: 50, Estimate: 0.5, SE: 0.05, Low: 0.4, High: 0.6}}}
	var out results.Outlook
	outlook.Precision((&rows.Set{Settings: results.DefaultSettings()}), &out, res)
	require.Len(t, out.Precision, 1)
	assert.InDelta(t, 0.1, float64(out.Precision[0].HalfWidth), 1e-12)
	assert.InDelta(t, 200, float64(out.Precision[0].CasesForFive), 1, "half the width takes four times the cases")
}

// TestBandHolds: of new movements the band holds the share it promises,
// checked on another practice drawn from the same parameters.
func TestBandHolds(t *testing.T) {
	params := sampledata.Default()
	params.Cases = audittest.Everyday(400, 300)
	ds, _ := sampledata.Generate(params, 11)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	fresh, _ := sampledata.Generate(params, 12)
	q, err := rows.Prepare(fresh, results.DefaultSettings())
	require.NoError(t, err)
	inside, total := 0, 0
	held, tested := 0, 0
	var out results.Outlook
	outlook.Expectations(p, &out)
	require.NotEmpty(t, out.Expected)
	for _, e := range out.Expected {
		held, tested = held+e.Held.Numerator, tested+e.Held.Denominator
		for i := range q.Analysed {
			r := &q.Analysed[i]
			near := r.Planned > 0.9*float64(e.Planned) && r.Planned < 1.1*float64(e.Planned)
			if rows.Holds(e.By, r) && near {
				total++
				inside += measure.OneIf(r.Achieved >= float64(e.Low) && r.Achieved <= float64(e.High))
			}
		}
	}
	t.Logf("band of 80 %%: holds %.3f of %d new movements; by its own check %.3f", float64(inside)/float64(total), total, float64(held)/float64(tested))
	assert.InDelta(t, 0.8, float64(inside)/float64(total), 0.04)
	assert.InDelta(t, 0.8, float64(held)/float64(tested), 0.04)
}
