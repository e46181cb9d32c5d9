package sqlite

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// A look for damage that comes late finds what an early one does, before any record is read
// or written: each page of a file in turn is emptied, is another one's, or has a bit changed
// where its cells begin.
func TestLateLookFindsTheSame(t *testing.T) {
	made := create(t)
	storetest.MustImport(t, made, storetest.Every())
	require.NoError(t, made.Close())
	whole, err := os.ReadFile(made.path)
	require.NoError(t, err)
	const page = 4096
	damages := map[string]func(p []byte){
		"zeroes":       func(p []byte) { clear(p) },
		"another page": func(p []byte) { copy(p, whole[page:]) },
		"a bit":        func(p []byte) { p[5] ^= 8 },
	}
	found := 0
	path := filepath.Join(t.TempDir(), "clinic.db")
	step := 6 * page // everyday every sixth, in the long form each
	if storetest.Long {
		step = page
	}
	for at := page; at < len(whole); at += step { // the first is looked at by whatever opens it
		for name, damage := range damages {
			spoilt := bytes.Clone(whole)
			damage(spoilt[at : at+page])
			require.NoError(t, os.WriteFile(path, spoilt, 0o600))
			early, err := Open(t.Context(), path)
			if err == nil {
				require.NoError(t, early.Close())
				continue
			}
			found++
			for use, of := range uses {
				late, opened := Open(t.Context(), path, CheckLate())
				if opened != nil { // its schema could not be read
					continue
				}
				got := of(t.Context(), late)
				require.Error(t, got, "page %d, %s: %s", at/page, name, use)
				assert.Equal(t, err.Error(), got.Error(), "page %d, %s: %s", at/page, name, use)
				require.NoError(t, late.Close())
			}
		}
	}
	assert.Greater(t, found, 20*page/step)
}

// uses are what reads or writes.
var uses = map[string]func(context.Context, *DB) error{
	"load":  func(ctx context.Context, db *DB) error { _, err := db.Load(ctx); return err },
	"files": func(ctx context.Context, db *DB) error { _, err := db.Files(ctx); return err },
	"import": func(ctx context.Context, db *DB) error {
		_, err := db.Import(ctx, storetest.Practice("b", 2, 2), store.Choices{})
		return err
	},
	"copy": func(ctx context.Context, db *DB) error { _, err := db.Backup(ctx, db.path+".copy", nil); return err },
}

// Asking for the fingerprint alone does not look, and a second reading not again.
func TestLateLookComesOnce(t *testing.T) {
	made := create(t)
	storetest.MustImport(t, made, storetest.Practice("a", 5, 5))
	want, err := made.Fingerprint(t.Context())
	require.NoError(t, err)
	require.NoError(t, made.Close())
	db, err := Open(t.Context(), made.path, CheckLate())
	require.NoError(t, err)
	defer db.Close()
	sum, err := db.Fingerprint(t.Context())
	require.NoError(t, err)
	assert.Equal(t, want, sum)
	assert.True(t, db.late.due)
	storetest.MustLoad(t, db)
	assert.False(t, db.late.due)
	early, err := Open(t.Context(), filepath.Join(t.TempDir(), "new.db"), CheckLate())
	require.NoError(t, err)
	defer early.Close()
	assert.False(t, early.late.due, "a new file is written to at once")
}

// A file of an older schema is looked at before anything of it is counted, copied or changed.
func TestOlderFileIsLookedAtFirst(t *testing.T) {
	all := migrations
	defer func() { migrations = all }()
	migrations = all[:len(all)-1]
	older := create(t)
	require.NoError(t, older.Close())
	content, err := os.ReadFile(older.path)
	require.NoError(t, err)
	migrations = all
	found := 0
	for at := 4096; at < len(content); at += 4096 {
		spoilt := bytes.Clone(content)
		clear(spoilt[at : at+4096])
		require.NoError(t, os.WriteFile(older.path, spoilt, 0o600))
		_, err := Open(t.Context(), older.path)
		left, _ := filepath.Glob(filepath.Join(filepath.Dir(older.path), "*"))
		if err == nil || len(left) > 1 { // found on the way at the earliest
			for _, path := range left {
				require.NoError(t, os.Remove(path))
			}
			continue
		}
		found++
		_, late := Open(t.Context(), older.path, CheckLate())
		require.Error(t, late)
		assert.Equal(t, err.Error(), late.Error())
		assert.NoFileExists(t, older.path+"-journal")
		after, _ := filepath.Glob(filepath.Join(filepath.Dir(older.path), "*"))
		assert.Equal(t, left, after)
	}
	assert.Positive(t, found)
}
