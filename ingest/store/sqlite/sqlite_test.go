package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
	"shortfall/ingest/store/storetest"
	"shortfall/ingest/store/storetest/inmemory"
)

var implementation = storetest.Implementation{
	Address: func(t testing.TB) string { return filepath.Join(t.TempDir(), "clinic.db") },
	Open:    func(ctx context.Context, path string) (store.Store, error) { return Open(ctx, path) },
	Check: func(t testing.TB, path string) {
		db, err := Open(context.Background(), path) // includes quick_check
		require.NoError(t, err)
		defer db.Close()
		var orphans int
		require.NoError(t, db.sql.QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&orphans))
		assert.Zero(t, orphans)
	},
	Bytes: func(t testing.TB, s store.Store) []byte {
		b, err := os.ReadFile(s.Path())
		require.NoError(t, err)
		return b
	},
	Next: func(broken bool) (back func()) {
		known := migrations
		next := sqlstore.Change{Number: len(known) + 1, Both: "ALTER TABLE cases ADD COLUMN seen TEXT"}
		if broken {
			next.Both += "; INSERT INTO nowhere VALUES (1)"
		}
		migrations = readMigrations(append(sqlstore.Changes(), next))
		return func() { migrations = known }
	},
	Hold: func(t testing.TB, path string) (release func()) {
		shorten(t, 100*time.Millisecond)
		busy, err := sql.Open("sqlite", path)
		require.NoError(t, err)
		busy.SetMaxOpenConns(1)
		_, err = busy.Exec("BEGIN IMMEDIATE")
		require.NoError(t, err)
		return func() { require.NoError(t, busy.Close()) }
	},
}

func TestContract(t *testing.T) { implementation.Run(t) }

// disk is the usual folder for what is temporary; the tests have theirs in memory.
var disk = os.TempDir()

func TestMain(m *testing.M) {
	switch task := os.Getenv(storetest.ChildTask); task {
	case "":
		if memory := inmemory.Folder(); memory != "" {
			os.Setenv("TMPDIR", memory)
		}
		debug.SetGCPercent(400) // collecting what tests leave behind was a fifth of their time
		os.Exit(m.Run())
	case "hold":
		os.Exit(hold(os.Getenv(storetest.ChildAddress)))
	case "restore":
		path := os.Getenv(storetest.ChildAddress)
		if _, err := Restore(context.Background(), filepath.Join(filepath.Dir(path), "copy.backup"), path, nil); err != nil {
			fmt.Println(err)
			os.Exit(4)
		}
		os.Exit(0)
	case "import second, synchronous full":
		os.Setenv(storetest.ChildTask, storetest.ImportSecond)
		full := implementation
		full.Open = func(ctx context.Context, path string) (store.Store, error) {
			return open(ctx, path, []string{"synchronous(full)"})
		}
		os.Exit(full.Child())
	}
	os.Exit(implementation.Child())
}

// hold keeps a database locked until the process is killed.
func hold(path string) int {
	ctx := context.Background()
	db, err := Open(ctx, path)
	if err != nil {
		return 4
	}
	if _, err = db.sql.Exec("BEGIN EXCLUSIVE"); err != nil {
		return 4
	}
	fmt.Println("held")
	time.Sleep(time.Minute)
	return 0
}

func create(t testing.TB) *DB {
	db, err := Open(context.Background(), filepath.Join(t.TempDir(), "clinic.db"))
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

// shorten makes waiting short for one test.
func shorten(t testing.TB, wait time.Duration) {
	p, s, m := patience, sayAfter, moment
	t.Cleanup(func() { patience, sayAfter, moment = p, s, m })
	patience, sayAfter, moment = wait, wait/4, 10
}

// The unit is written from the axis; the check guards against other writers.
func TestUnitMustFitAxis(t *testing.T) {
	db := create(t)
	storetest.MustImport(t, db, storetest.Every())
	_, err := db.sql.Exec("UPDATE movements SET unit = 'mm' WHERE axis = 'rotation'")
	require.ErrorIs(t, wrap("", err), store.ErrRefused)
	_, err = db.sql.Exec("UPDATE sheets SET read = 7")
	require.NoError(t, err, "no sheet in this batch")
	_, err = db.sql.Exec("INSERT INTO sheets VALUES (1, 0, 's', NULL, 3, 1, 1, 0)")
	require.ErrorIs(t, wrap("", err), store.ErrRefused, "counts must reconcile")
	_, err = db.sql.Exec("DELETE FROM files")
	require.ErrorIs(t, wrap("", err), store.ErrRefused, "foreign keys are on")
}

func TestLockedDatabase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	require.NoError(t, storetest.Command(storetest.ImportFirst, path).Run())
	c := storetest.Command("hold", path)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	defer func() { c.Process.Kill(); c.Wait() }()
	buf := make([]byte, 64)
	for said := ""; said != "held\n"; {
		n, err := out.Read(buf)
		require.NoError(t, err)
		said += string(buf[:n])
	}
	shorten(t, 400*time.Millisecond)
	var told []string
	_, err = Open(context.Background(), path, OnWait(func(s string) { told = append(told, s) }))
	require.ErrorIs(t, err, store.ErrLocked)
	holder := fmt.Sprintf("process %d", c.Process.Pid)
	if runtime.GOOS != "linux" {
		holder = "another program"
	}
	assert.ErrorContains(t, err, holder)
	require.Len(t, told, 1)
	assert.Contains(t, told[0], "waiting for "+holder)
	assert.ErrorContains(t, err, "try again")
}

// An import that is under way is waited for as long as its files change.
func TestWaitsWhileSomethingHappens(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	shorten(t, 400*time.Millisecond)
	busy, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	defer busy.Close()
	busy.SetMaxOpenConns(1)
	_, err = busy.Exec("BEGIN EXCLUSIVE")
	require.NoError(t, err)
	held := time.Duration(storetest.Everyday(3, 2)) * patience
	go func() {
		for start := time.Now(); time.Since(start) < held; time.Sleep(patience / 10) {
			_ = os.Chtimes(path, time.Time{}, time.Now())
		}
		_, _ = busy.Exec("ROLLBACK")
	}()
	start := time.Now()
	db, err = Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	assert.Greater(t, time.Since(start), held-patience/2)
}

// However rows are alike, what is written is what was given: of each column all values, one
// value or none, bound in a statement of many rows or row by row.
func TestAlikeRowsAreWrittenAsGiven(t *testing.T) {
	db := create(t)
	names := []string{"id", "practice", "sheet", "achieved", "size_only"}
	tx, err := db.Begin(t.Context())
	require.NoError(t, err)
	defer tx.Rollback()
	_, err = tx.ExecContext(t.Context(), "CREATE TEMP TABLE given (id, practice, sheet, achieved, size_only)")
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(1, 1))
	id := 0
	var want [][]any
	for range 200 { // more kinds of statements than are prepared
		var args []any
		kind := make([]int, len(names))
		for c := range kind {
			kind[c] = rng.IntN(4)
		}
		for range tx.RowsAtOnce() - rng.IntN(2) {
			id++
			row := []any{int64(id)}
			for _, k := range kind[1:] {
				row = append(row, []any{nil, "same", 2.5, rng.Int64N(3)}[k])
			}
			want, args = append(want, row), append(args, row...)
		}
		require.NoError(t, tx.Insert(t.Context(), tx, "given", names, args))
	}
	rows, err := tx.QueryContext(t.Context(), "SELECT id, practice, sheet, achieved, size_only FROM given ORDER BY id")
	require.NoError(t, err)
	defer rows.Close()
	for _, w := range want {
		require.True(t, rows.Next())
		got, targets := make([]any, len(names)), []any{}
		for i := range got {
			targets = append(targets, &got[i])
		}
		require.NoError(t, rows.Scan(targets...))
		require.Equal(t, w, got)
	}
	assert.False(t, rows.Next())
	_, all := tx.Prepared("")
	assert.LessOrEqual(t, all, mostPrepared+1)
}
