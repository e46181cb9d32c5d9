package audit

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/simulate"
	"shortfall/ingest/casebook"
)

// TestSharedResultsNameNoCase: neither a check that leaves a patient out nor a list of
// cells gives a pseudonym away; within the practice both do.
func TestSharedResultsNameNoCase(t *testing.T) {
	practice := simulate.New(60, 0.15, 0.3, 0)
	practice.Effect[casebook.Extrusion] = 0.2
	practice.Misplaced = 4
	ds := practice.Make(3)
	for _, shared := range []bool{false, true} {
		s := results.DefaultSettings()
		s.Shared = shared
		r, err := Run(context.Background(), ds, s, "test")
		require.NoError(t, err)
		said, err := json.Marshal(r)
		require.NoError(t, err)
		named := 0
		for _, c := range ds.Cases {
			if strings.Contains(string(said), c.ID) {
				named++
			}
		}
		if assert.Positive(t, r.Questions.Doubtful.Amounts); shared {
			assert.Zero(t, named)
		} else {
			assert.Positive(t, named)
		}
	}
}
