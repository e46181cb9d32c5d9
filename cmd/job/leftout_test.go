package job

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// A tenth of the rows left out is said by itself; more is asked about, with the reasons.
func TestManyLeftOut(t *testing.T) {
	b := &casebook.Batch{Sheets: []casebook.SheetCounts{{Counts: casebook.Counts{Accepted: 18, Rejected: 2}}}}
	for range 2 {
		b.Rejected = append(b.Rejected, casebook.Rejected{Reasons: []casebook.Problem{{Rule: "tooth-unknown"}}})
	}
	assert.Empty(t, ManyLeftOut(b))
	b.Sheets[0].Rejected = 3
	b.Rejected = append(b.Rejected, casebook.Rejected{Reasons: []casebook.Problem{{Rule: "value-missing"}}})
	assert.Equal(t, "3 of 21 rows are left out; commonest reasons: a tooth is not known (2), a required cell is blank (1)", ManyLeftOut(b))
	alone := &casebook.Batch{Movements: make([]casebook.Record[casebook.Movement], 8), RefusedAlone: 1}
	assert.Equal(t, "1 of 9 movements in rows that are kept are left out", ManyLeftOut(alone))
}
