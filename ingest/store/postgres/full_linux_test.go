package postgres

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres/pgtest"
	"shortfall/ingest/store/storetest"
)

// TestServerDiskFull: where the server's disk becomes full in the middle of an import
// nothing of the file is kept and what was there stands; with room again it completes.
func TestServerDiskFull(t *testing.T) {
	s := pgtest.Start(t)
	db := open(t, s.Address(s.Small(t, 16)))
	storetest.MustImport(t, db, storetest.Practice("small", 20, 20))
	before := storetest.MustLoad(t, db)
	large := storetest.Practice("large", 1200, 20)
	rename(large, "P2")
	_, err := db.Import(t.Context(), large, store.Choices{})
	require.ErrorIs(t, err, store.ErrFull)
	assert.ErrorContains(t, err, "nothing of this file was kept")
	assert.Equal(t, before, storetest.MustLoad(t, db))
	s.Exec(t, "small", "VACUUM") // as autovacuum does in its own time
	smaller := storetest.Practice("smaller", 22, 20)
	rename(smaller, "P2")
	storetest.MustImport(t, db, smaller)
	assert.Len(t, storetest.MustLoad(t, db).Cases, 42)
}
