package sqlite

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// TestWhatAColumnShouldNotHoldIsNotReadAsAnother: columns of few values are read in one
// number; one that holds what its check forbids, put there by a program that looks at no
// checks, is an error and spoils no other column.
func TestWhatAColumnShouldNotHoldIsNotReadAsAnother(t *testing.T) {
	db := create(t)
	storetest.MustImport(t, db, storetest.Every())
	want := storetest.MustLoad(t, db)
	_, err := db.sql.Exec("PRAGMA ignore_check_constraints = 1")
	require.NoError(t, err)
	for _, change := range []string{"tooth = 61", "tooth = 62", "tooth = 64", "tooth = -1", "tooth = 1 << 40", "axis = 'sideways'", "style = 'x'", "confirmed = ''", "lost = 62", "measured_by = 7"} {
		_, err := db.sql.Exec("CREATE TEMP TABLE was AS SELECT * FROM movements; UPDATE movements SET " + change +
			" WHERE (case_id, practice, course, tooth, axis) = (SELECT case_id, practice, course, tooth, axis FROM movements ORDER BY 1, 2, 3, 4, 5 DESC LIMIT 1)")
		require.NoError(t, err)
		ds, err := db.Load(t.Context())
		if change == "tooth = 61" { // no check of the reader's, which rows.Prepare has
			require.NoError(t, err)
			require.True(t, slices.ContainsFunc(ds.Movements, func(m casebook.Movement) bool { return m.Tooth == 61 }))
		} else {
			require.ErrorIs(t, err, store.ErrDamaged, change)
		}
		_, err = db.sql.Exec("DELETE FROM movements; INSERT INTO movements SELECT * FROM was; DROP TABLE was")
		require.NoError(t, err)
		require.Equal(t, want.Movements, storetest.MustLoad(t, db).Movements)
	}
}
