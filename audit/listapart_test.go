package audit_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// A log whose codes are not those of the movements is told, and without counts where the results are shared.
func TestListThatDoesNotFit(t *testing.T) {
	said := func(ds *casebook.Dataset, shared bool) string {
		res := mustRun(t, ds, func(s *results.Settings) { s.Shared = shared })
		for _, w := range res.Warnings {
			if w.ID == results.ListApart {
				return w.Text
			}
		}
		return ""
	}
	ds := invented(5, 30)
	text := said(ds, false)
	assert.Empty(t, text)
	for i := range ds.Cases {
		ds.Cases[i].ID = fmt.Sprintf("P-%d", i)
	}
	text = said(ds, false)
	assert.Contains(t, text, "30 cases listed, 30 with movements, 0 in both")
	text = said(ds, true)
	assert.Equal(t, casebook.ApartText, text)
}
