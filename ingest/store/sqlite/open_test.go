package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

func TestOpenRefuses(t *testing.T) {
	ctx := context.Background()
	ours := func(t *testing.T, change string) string {
		db := create(t)
		_, err := db.sql.Exec(change)
		require.NoError(t, err)
		require.NoError(t, db.Close())
		return db.path
	}
	junk := func(t *testing.T, content string) string {
		path := filepath.Join(t.TempDir(), "clinic.db")
		require.NoError(t, os.WriteFile(path, []byte(content), 0o600))
		return path
	}
	foreign := func(t *testing.T, script string) string {
		path := filepath.Join(t.TempDir(), "other.db")
		pool, err := sql.Open("sqlite", path)
		require.NoError(t, err)
		_, err = pool.Exec(script)
		require.NoError(t, err)
		require.NoError(t, pool.Close())
		return path
	}
	for name, c := range map[string]struct {
		path   string
		target error
		says   string
	}{
		"newer schema":      {ours(t, fmt.Sprintf("PRAGMA user_version = %d", len(migrations)+1)), store.ErrNewer, "Update the program"},
		"other program":     {foreign(t, "PRAGMA application_id = 1; CREATE TABLE a (b)"), store.ErrForeign, "another program"},
		"unmarked database": {foreign(t, "CREATE TABLE a (b)"), store.ErrForeign, "another program"},
		"unmarked version":  {foreign(t, "PRAGMA user_version = 1"), store.ErrForeign, "another program"},
		"text":              {junk(t, strings.Repeat("patient,tooth\n", 100)), store.ErrNotDatabase, "not a database"},
		"short text":        {junk(t, "x"), store.ErrNotDatabase, "not a database"},
		"longer text":       {junk(t, strings.Repeat("x", 600)), store.ErrNotDatabase, "not a database"},
		"folder":            {t.TempDir(), store.ErrCannotOpen, "Check that the path"},
		"missing folder":    {filepath.Join(t.TempDir(), "no", "clinic.db"), store.ErrCannotOpen, "Name a folder"},
	} {
		t.Run(name, func(t *testing.T) {
			before, _ := os.ReadFile(c.path)
			_, err := Open(ctx, c.path)
			require.ErrorIs(t, err, c.target)
			assert.ErrorContains(t, err, c.path)
			assert.ErrorContains(t, err, c.says)
			after, _ := os.ReadFile(c.path)
			assert.Equal(t, before, after, "a refused file is not touched")
		})
	}
}

func TestDamageIsFound(t *testing.T) {
	db := create(t)
	storetest.MustImport(t, db, storetest.Practice("a", 50, 20))
	require.NoError(t, db.Close())
	content, err := os.ReadFile(db.path)
	require.NoError(t, err)
	for name, damage := range map[string]func([]byte) []byte{
		"cut off": func(b []byte) []byte { return b[:len(b)/2/4096*4096] },
		"zeroes":  func(b []byte) []byte { clear(b[20*4096 : 30*4096]); return b },
	} {
		require.NoError(t, os.WriteFile(db.path, damage(append([]byte{}, content...)), 0o600))
		_, err := Open(context.Background(), db.path)
		require.ErrorIs(t, err, store.ErrDamaged, name)
		assert.ErrorContains(t, err, "backup")
	}
}

// The settings must hold on every connection and in the file.
func TestSettingsHold(t *testing.T) {
	db := create(t)
	for pragma, want := range map[string]string{
		"foreign_keys": "1", "trusted_schema": "0", "cell_size_check": "1", "busy_timeout": fmt.Sprint(moment), "synchronous": "3",
		"journal_mode": "delete", "application_id": fmt.Sprint(applicationID), "user_version": fmt.Sprint(len(migrations)),
	} {
		var got string
		require.NoError(t, db.sql.QueryRow("PRAGMA "+pragma).Scan(&got))
		assert.Equal(t, want, got, pragma)
	}
	require.NoError(t, db.Close())
	db, err := Open(t.Context(), db.path) // what made it has written
	require.NoError(t, err)
	defer db.Close()
	var reading, writing int
	require.NoError(t, db.sql.QueryRow("PRAGMA cache_size").Scan(&reading))
	assert.Equal(t, -readingCache, reading)
	tx, err := db.Begin(t.Context())
	require.NoError(t, err)
	require.NoError(t, tx.QueryRow("PRAGMA cache_size").Scan(&writing))
	assert.Equal(t, -writingCache, writing)
	require.NoError(t, tx.Rollback())
	_, err = db.sql.Exec(`SELECT "no such column"`)
	assert.Error(t, err, "a double-quoted string is not a text")
	_, err = db.sql.Exec("PRAGMA writable_schema = 1; DELETE FROM sqlite_schema")
	assert.Error(t, err, "defensive")
}

func TestOddPaths(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"what?.db", "50%.db", "a#b.db", "Praxis Müller.db", "a?mode=ro", "x;y&z=1.db"} {
		path := filepath.Join(dir, name)
		db, err := Open(context.Background(), path)
		require.NoError(t, err, name)
		storetest.MustImport(t, db, storetest.Practice("a", 1, 1))
		require.NoError(t, db.Close())
		info, err := os.Stat(path)
		require.NoError(t, err, name)
		assert.NotZero(t, info.Size(), name)
		if runtime.GOOS != "windows" {
			assert.Equal(t, os.FileMode(0o600), info.Mode().Perm(), name)
		}
	}
	names, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, names, 6, "no other file is made or left")
}

func TestMigrationsFromEveryVersion(t *testing.T) {
	fresh := create(t)
	want := schema(t, fresh)
	for version := range len(migrations) {
		if version%3 > 0 && version < len(migrations)-1 && !storetest.Long {
			continue // everyday every third, and the last
		}
		path := filepath.Join(t.TempDir(), "old.db")
		old := atVersion(t, path, version)
		if version >= 1 {
			columns, values := "id, name, sha256, size, invented", ""
			if version >= 6 {
				columns, values = columns+", reading", ", ''"
			}
			_, err := old.Exec(`INSERT INTO files (` + columns + `) VALUES (1, 'old.xlsx', '` + storetest.FileOf("old").SHA256 + `', 3, 0` + values + `);
				INSERT INTO layouts VALUES (1, 1, '[["A","case"]]');
				INSERT INTO cases (case_id, practice, file_id, sheet, row, layout_id, original) VALUES ('C-1', 'P', 1, 's', 2, 1, '["C-1"]')`)
			require.NoError(t, err)
		}
		require.NoError(t, old.Close())
		db, err := Open(context.Background(), path)
		require.NoError(t, err, "from version %d", version)
		assert.Equal(t, want, schema(t, db))
		if version >= 1 {
			assert.Len(t, storetest.MustLoad(t, db).Cases, 1, "records survive")
			storetest.MustImport(t, db, storetest.Practice("new", 2, 2))
		}
		require.NoError(t, db.Close())
	}
}

// An empty database is given the newest schema at once, so that no migration may leave rows in one.
func TestMigrationsOfNothingLeaveNothing(t *testing.T) {
	db := atVersion(t, ":memory:", len(migrations))
	defer db.Close()
	rows, err := rowCounts(t.Context(), db)
	require.NoError(t, err)
	assert.Greater(t, len(rows), 10)
	for table, n := range rows {
		assert.Zero(t, n, table)
	}
	migrated, err := objectsOf(t.Context(), db)
	require.NoError(t, err)
	fresh, err := objectsOf(t.Context(), create(t).sql)
	require.NoError(t, err)
	assert.ElementsMatch(t, migrated, fresh)
}

// atVersion makes a database as an older program left it.
func atVersion(t *testing.T, path string, version int) *sql.DB {
	pool, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	pool.SetMaxOpenConns(1)
	for i := range version {
		_, err = pool.Exec(migrations[i] + fmt.Sprintf(";PRAGMA application_id=%d;PRAGMA user_version=%d", applicationID, i+1))
		require.NoError(t, err)
	}
	return pool
}

func schema(t *testing.T, db *DB) []string {
	rows, err := db.sql.Query("SELECT coalesce(sql, name) FROM sqlite_schema ORDER BY name")
	require.NoError(t, err)
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		require.NoError(t, rows.Scan(&s))
		out = append(out, s)
	}
	require.NoError(t, rows.Err())
	return out
}

// A migration that fails half-way leaves the version and the tables as they were.
func TestFailedMigrationLeavesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	require.NoError(t, atVersion(t, path, 1).Close())
	good := migrations
	t.Cleanup(func() { migrations = good })
	migrations = []string{good[0], "CREATE TABLE half (a); CREATE TABLE cases (b);"}
	_, err := Open(context.Background(), path)
	require.Error(t, err)
	migrations = good[:1]
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	assert.NotContains(t, schema(t, db), "CREATE TABLE half (a)")
}

// Records that are kept nowhere leave nothing on the disk, and two of them nothing with
// one another.
func TestTempIsInMemory(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	t.Chdir(dir)
	db, err := OpenTemp(t.Context())
	require.NoError(t, err)
	other, err := OpenTemp(t.Context())
	require.NoError(t, err)
	defer other.Close()
	storetest.MustImport(t, db, storetest.Practice("a", 200, 10))
	assert.Len(t, storetest.MustLoad(t, db).Cases, 200)
	assert.Empty(t, storetest.MustLoad(t, other).Cases)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, left)
	require.NoError(t, db.Close())
	_, err = db.Load(t.Context())
	assert.Error(t, err)
}

// An import that was interrupted leaves the records as they were, in memory too.
func TestTempIsWholeAfterAnInterruption(t *testing.T) {
	within := func(length time.Duration) (took time.Duration, err error) {
		db, err := OpenTemp(t.Context())
		require.NoError(t, err)
		defer db.Close()
		storetest.MustImport(t, db, storetest.Practice("a", 20, 10))
		ctx, stop := context.WithTimeout(t.Context(), length)
		defer stop()
		begun := time.Now()
		_, err = db.Import(ctx, storetest.Practice("b", storetest.Everyday(80, 25), 20), store.Choices{Practice: "Q"})
		if took = time.Since(begun); err != nil {
			require.ErrorIs(t, err, context.DeadlineExceeded)
			assert.Len(t, storetest.MustLoad(t, db).Cases, 20)
			storetest.MustImport(t, db, storetest.Practice("a", 20, 10))
		}
		return took, err
	}
	whole, err := within(time.Hour)
	require.NoError(t, err)
	interrupted := 0
	for part := 0.9; interrupted < storetest.Everyday(2, 1); part *= 0.8 { // it writes most of the time, and at last comes what interrupts it
		if _, err := within(time.Duration(part * float64(whole))); err != nil {
			interrupted++
		}
	}
}

// Records that are kept nowhere are those of a file, without the rows as they came.
func TestTempKeepsNoRowAsItCame(t *testing.T) {
	db, err := OpenTemp(t.Context())
	require.NoError(t, err)
	defer db.Close()
	file := create(t)
	storetest.MustImport(t, db, storetest.Every())
	storetest.MustImport(t, file, storetest.Every())
	want := storetest.MustLoad(t, file)
	require.Equal(t, want, storetest.MustLoad(t, db))
	key := want.Movements[0].Case
	with, err := file.Current(t.Context(), key)
	require.NoError(t, err)
	without, err := db.Current(t.Context(), key)
	require.NoError(t, err)
	require.NotEmpty(t, with[0].Original)
	for i := range with {
		with[i].Original = []casebook.Cell{}
	}
	assert.Equal(t, with, without)
}
