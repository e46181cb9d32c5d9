package story

import (
	"testing"

	"github.com/stretchr/testify/assert"

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
