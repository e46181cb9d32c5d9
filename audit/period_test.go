package audit_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestPartOfTheRecordsGivesNoCasesAway: an audit of one clinician, or of a few months, of a
// small practice shows no few cases of a step of the flow, and passes the guard.
func TestPartOfTheRecordsGivesNoCasesAway(t *testing.T) {
	for seed := uint64(1); seed <= uint64(audittest.Everyday(2, 1)); seed++ {
		for _, per := range []results.Period{{Clinician: "K1"}, {Quarter: casebook.NewMonth(2025, 1)}, {From: casebook.NewMonth(2024, 10), To: casebook.NewMonth(2025, 3)}} {
			r := mustRun(t, invented(seed, 30), func(s *results.Settings) { s.Shared, s.WithClinicians, s.Period = true, true, per })
			assert.NotEmpty(t, r.Flow.Steps)
			for _, s := range r.Flow.Steps {
				assert.True(t, s.Cases == 0 || s.Cases >= 5, s.Title)
				for _, e := range s.Excluded {
					assert.True(t, e.Cases == 0 || e.Cases >= 5, e.ID)
				}
			}
		}
	}
}

// TestClinicianIsAsIfAlone: the audit of one clinician's cases is that of a database that
// holds no others, but for the flow.
func TestClinicianIsAsIfAlone(t *testing.T) {
	ds := invented(3, 60)
	own := map[casebook.CaseKey]bool{}
	alone := *ds
	alone.Cases, alone.Courses, alone.Movements, alone.Repeats = nil, nil, nil, nil
	for _, c := range ds.Cases {
		if own[c.Key()] = c.Clinician == "K2"; own[c.Key()] {
			alone.Cases = append(alone.Cases, c)
		}
	}
	for _, c := range ds.Courses {
		if own[c.Case] {
			alone.Courses = append(alone.Courses, c)
		}
	}
	for _, m := range ds.Movements {
		if own[m.Case] {
			alone.Movements = append(alone.Movements, m)
		}
	}
	for _, x := range ds.Repeats {
		if own[x.Case] {
			alone.Repeats = append(alone.Repeats, x)
		}
	}
	a := mustRun(t, ds, func(s *results.Settings) { s.Period.Clinician = "K2" })
	b := mustRun(t, &alone, nil)
	assert.NotEmpty(t, b.Expression)
	assert.Equal(t, string(asJSON(t, &results.Results{Expression: b.Expression, Comparisons: b.Comparisons, Refinements: b.Refinements, FollowUp: b.FollowUp, Losses: b.Losses})),
		string(asJSON(t, &results.Results{Expression: a.Expression, Comparisons: a.Comparisons, Refinements: a.Refinements, FollowUp: a.FollowUp, Losses: a.Losses})))
}
