package audit_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/ask"
	"shortfall/audit/declare"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// TestEveryQuestionThatForgetsIsCaught: what each question computes is put before the
// guard as it is, as if its Withhold did nothing. On small practices the guard finds a
// small count in every one that has any to hide, so none could forget the rule unseen.
func TestEveryQuestionThatForgetsIsCaught(t *testing.T) {
	without := map[string]string{
		"flow":    "its steps are always printed, but for those that its Withhold takes out by the tables that they are in",
		"outlook": "it reads what the others print",
		"casemix": "it compares only where ten mouths or more carry both styles",
		"since":   "there is no earlier audit here; its cells are in TestSmallCountsAreFoundEverywhere",
	}
	caught := map[string]string{}
	for seed, cases := range []int{7, 25, 60} {
		s := results.DefaultSettings()
		criteria, err := declare.ParseCriteria("criteria.toml", []byte(declare.CriteriaExample))
		require.NoError(t, err)
		s.Questions.Criteria = criteria
		s.Shared, s.Period.Quarter = true, casebook.NewMonth(2025, 10)
		criteria.Criteria[0].From = 0
		p, err := rows.Prepare(uncommon(invented(uint64(seed), cases)), s)
		require.NoError(t, err)
		r := &results.Results{}
		for _, reads := range []bool{false, true} { // what others print is read last
			qs := slices.DeleteFunc(audit.Questions(), func(q ask.Question) bool { return q.Reads != reads })
			require.NoError(t, ask.Answers(t.Context(), p, r, qs))
			for _, q := range qs {
				for _, part := range q.Part(r) {
					if at := ask.SmallCount(part, s.MinCellCases, q.Open); at != "" {
						caught[q.ID] = at
					}
				}
			}
		}
	}
	for _, q := range audit.Questions() {
		_, found := caught[q.ID]
		assert.Equal(t, without[q.ID] == "", found, "%s: %s", q.ID, without[q.ID])
	}
}

// uncommon gives a few cases of a practice what few have: another way of measuring,
// percentages as stated, an amount that cannot be right, no clinician on record.
func uncommon(ds *casebook.Dataset) *casebook.Dataset {
	few := map[casebook.CaseKey]bool{}
	for i := range ds.Movements {
		m := &ds.Movements[i]
		if len(few) < 3 {
			few[m.Case] = true
		}
		m.MeasuredBy = casebook.SuperimposedScans
		if few[m.Case] && m.Achieved.OK {
			m.MeasuredBy = casebook.Models
			if m.Achieved.Value = 40 * m.Planned; m.Tooth%2 == 0 {
				m.Achieved, m.StatedPercent = casebook.Opt[float64]{}, casebook.Some(60.0)
			}
		}
	}
	for i := range ds.Cases {
		if few[ds.Cases[i].Key()] {
			ds.Cases[i].Clinician = ""
		}
	}
	return ds
}
