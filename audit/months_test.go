package audit_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestMonthsThatAreNotOnRecord: where the starts of later courses are not kept, the page of
// a quarter says whose month is that of what followed, and who is in neither part; page one
// says that there are such.
func TestMonthsThatAreNotOnRecord(t *testing.T) {
	ds := invented(1, 60)
	quarter := func(s *results.Settings) { s.Period.Quarter = casebook.NewMonth(2025, 4) }
	const taken = "the month in which some courses ended is taken from what followed"
	assert.NotContains(t, mustRun(t, ds, quarter).Front.Under, taken)
	for i := range ds.Courses {
		if ds.Courses[i].Number > 1 {
			ds.Courses[i].Start = 0
		}
	}
	f := mustRun(t, ds, quarter).Front
	assert.Contains(t, f.Under, taken)
	said := map[string]bool{}
	for _, s := range f.Change.Statements {
		for _, start := range []string{"The month in which ", "In neither part are "} {
			if len(s.Text) > len(start) && s.Text[:len(start)] == start {
				said[start] = true
				assert.Regexp(t, `\d+.movements`, s.Text)
			}
		}
	}
	require.Len(t, said, 2)
}
