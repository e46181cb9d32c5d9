package postgres

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// Where the server's disk becomes full in the middle of an import
// nothing of the file is kept and what was there stands; with room again it completes.
func testDiskFull(t *testing.T, s *server) {
	db := open(t, s.Address(s.Small(t, 12)))
	storetest.MustImport(t, db, storetest.Practice("small", 20, 20))
	before := storetest.MustLoad(t, db)
	large := storetest.Practice("large", 600, 20)
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
