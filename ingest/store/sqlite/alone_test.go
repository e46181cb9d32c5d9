package sqlite

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// What an empty database would hold is what one holds.
func TestAloneIsAnEmptyDatabase(t *testing.T) {
	db, err := OpenTemp(context.Background())
	require.NoError(t, err)
	defer db.Close()
	batch := func() *casebook.Batch {
		b := storetest.Practice("alone", 60, 12)
		b.Movements[1].Value = b.Movements[0].Value // along axes whose words have another order
		b.Movements[0].Value.Axis, b.Movements[1].Value.Axis = casebook.Vertical, casebook.MesiodistalShift
		return b
	}
	storetest.MustImport(t, db, batch())
	want := storetest.MustLoad(t, db)
	got, err := store.Alone(batch(), store.Choices{})
	require.NoError(t, err)
	require.Equal(t, want.Cases, got.Cases)
	require.Equal(t, want.Courses, got.Courses)
	require.Equal(t, want.Movements, got.Movements)
	require.Equal(t, want.Repeats, got.Repeats)
}
