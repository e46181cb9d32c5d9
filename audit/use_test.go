package audit_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestUseNotRecordedIsSaid: where it is not on record how many aligners were used, the
// audit says how many courses that concerns, and what to record.
func TestUseNotRecordedIsSaid(t *testing.T) {
	said := func(r *results.Results) bool {
		return slices.ContainsFunc(r.Warnings, func(w results.Warning) bool { return w.ID == "use-not-recorded" })
	}
	ds := invented(3, 30)
	assert.False(t, said(mustRun(t, ds, nil)), "the invented practice records it")
	for i := range ds.Courses {
		ds.Courses[i].AlignersUsed = casebook.Opt[int]{}
	}
	assert.True(t, said(mustRun(t, ds, nil)))
}

// Movements refused in rows that are kept stand in no count of rows: the audit says how many.
func TestMovementsRefusedAloneAreSaid(t *testing.T) {
	said := func(r *results.Results) string {
		for _, w := range r.Warnings {
			if w.ID == "movements-refused" {
				return w.Text
			}
		}
		return ""
	}
	ds := invented(3, 30)
	assert.Empty(t, said(mustRun(t, ds, nil)))
	ds.RefusedAlone = 12
	assert.Contains(t, said(mustRun(t, ds, nil)), "12\u00a0movements refused in rows of spreadsheets that were kept")
}
