package page

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// sameOnRecord is a database in which every case holds a rotation of the teeth 11 to 18.
type sameOnRecord struct{ store.Store }

func (sameOnRecord) Current(_ context.Context, k casebook.CaseKey) (out []store.Version, err error) {
	for tooth := range casebook.Tooth(8) {
		value, err := json.Marshal(casebook.Movement{Case: k, Course: 1, Tooth: 11 + tooth, Axis: casebook.Rotation})
		if err != nil {
			return nil, err
		}
		out = append(out, store.Version{Kind: casebook.MovementKind, Value: value})
	}
	return out, nil
}

// TestAllThatAFileWouldLoseIsCounted: each movement once, however often it was refused,
// also those beyond the ones that are named; and where not all were looked up it is said.
func TestAllThatAFileWouldLoseIsCounted(t *testing.T) {
	p := &practice{db: sameOnRecord{}}
	refused := func(cases int, teeth ...casebook.Tooth) *casebook.Batch {
		b := &casebook.Batch{}
		for c := range cases {
			for _, tooth := range teeth {
				b.RefusedMovements = append(b.RefusedMovements, casebook.MovementKey{
					Case: casebook.CaseKey{ID: fmt.Sprint("C", c)}, Course: 1, Tooth: tooth, Axis: casebook.Rotation,
				})
			}
		}
		return b
	}
	whose := "east"
	said := func(b *casebook.Batch) string {
		text, err := p.lost(t.Context(), b, &whose)
		require.NoError(t, err)
		return text
	}
	assert.Empty(t, said(refused(3, 21)), "not on record")
	twice := said(refused(1, 11, 11, 12))
	assert.True(t, strings.HasPrefix(twice, "2 movements on record"), twice)
	assert.Equal(t, 1, strings.Count(twice, "tooth 11"))

	many := said(refused(10, 11, 12, 13, 14, 15, 16, 17, 21))
	assert.True(t, strings.HasPrefix(many, "70 movements on record"), many)
	assert.Equal(t, mostListed, strings.Count(many, "tooth"))
	assert.True(t, strings.HasSuffix(many, "; and 20 more"), many)

	again := refused(2, 11, 12)
	again.Movements = []casebook.Record[casebook.Movement]{{Value: casebook.Movement{Case: casebook.CaseKey{ID: "C0"}, Course: 1, Tooth: 11, Axis: casebook.Rotation}}}
	assert.True(t, strings.HasPrefix(said(again), "3 movements"), "another row gives one of them")

	huge := said(refused(mostLooked+1, 11))
	assert.True(t, strings.HasPrefix(huge, fmt.Sprintf("at least %d movements", mostLooked)), huge)
	none := said(refused(mostLooked+1, 21))
	assert.Contains(t, none, "of the cases looked up", "it is not said that none would go")
}
