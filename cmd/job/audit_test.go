package job

import (
	"bytes"
	"compress/gzip"
	"context"
	"database/sql"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
	"shortfall/report"
	"shortfall/sampledata"
)

// clinic is a database with a small practice in it.
func clinic(t *testing.T) *sqlite.DB {
	t.Helper()
	db, err := sqlite.Open(context.Background(), filepath.Join(t.TempDir(), "clinic.db"))
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	p := sampledata.Default()
	p.Cases = 5
	ds, _ := sampledata.Generate(p, 1)
	put(t, db, ds)
	return db
}

func put(t *testing.T, db store.Store, ds *casebook.Dataset) {
	t.Helper()
	b := &casebook.Batch{File: casebook.File{Name: "a.csv", SHA256: strings.Repeat("a", 64)}}
	for i := range ds.Cases {
		b.Cases = append(b.Cases, casebook.Record[casebook.Case]{Value: ds.Cases[i], Source: casebook.Source{Sheet: "1", Row: i + 2}})
	}
	for i := range ds.Movements {
		b.Movements = append(b.Movements, casebook.Record[casebook.Movement]{Value: ds.Movements[i], Source: casebook.Source{Sheet: "1", Row: i + 2}})
	}
	_, err := db.Import(context.Background(), b, store.Choices{})
	require.NoError(t, err)
}

func caseAt(t *testing.T, db store.Store, i int) casebook.CaseKey {
	t.Helper()
	list, err := db.Cases(context.Background())
	require.NoError(t, err)
	return list[i].CaseKey
}

func task(db store.Store) *Audit {
	return &Audit{DB: db, Settings: results.DefaultSettings(), Version: "1", Keep: true}
}

// answered says whether an audit answers from its last results, and gives what writes the bytes.
func answered(t *testing.T, a *Audit) (last bool, text func() string) {
	t.Helper()
	computed := false
	var mu sync.Mutex
	a.At = func(step string, _, _ int) {
		mu.Lock()
		defer mu.Unlock()
		computed = computed || strings.HasPrefix(step, Auditing)
	}
	res, day, err := a.Run(context.Background())
	require.NoError(t, err)
	assert.Equal(t, computed, day == "", "the day is told where nothing was computed")
	return !computed, func() string {
		t.Helper()
		var b bytes.Buffer
		require.NoError(t, report.JSON(&b, res))
		return b.String()
	}
}

// An unchanged database answers from its last results with the same bytes; whatever
// part of the key changes, everything is computed.
func TestAnswersFromLastResultsUntilAnythingChanges(t *testing.T) {
	db := clinic(t)
	last, first := answered(t, task(db))
	require.False(t, last)
	last, again := answered(t, task(db))
	require.True(t, last)
	require.Equal(t, first(), again())

	for name, change := range map[string]func(a *Audit){
		"settings":      func(a *Audit) { a.Settings.ToleranceMM = 0.4 },
		"program":       func(a *Audit) { a.Version = "2" },
		"earlier audit": func(a *Audit) { a.Before = &results.Results{SchemaVersion: results.SchemaVersion} },
		"not asked for": func(a *Audit) { a.Keep = false },
	} {
		a := task(db)
		change(a)
		last, _ := answered(t, a)
		assert.False(t, last, name)
	}
	last, _ = answered(t, task(db))
	require.True(t, last, "as it was")

	// By another program, one digit of one record, and back.
	raw, err := sql.Open("sqlite", db.Path())
	require.NoError(t, err)
	defer raw.Close()
	_, err = raw.Exec("UPDATE movements SET planned = planned + 0.5 WHERE case_id = 'MQ-003' AND planned > 0")
	require.NoError(t, err)
	last, changed := answered(t, task(db))
	assert.False(t, last, "a record")
	assert.NotEqual(t, first(), changed())
	require.NoError(t, db.RemoveCase(context.Background(), caseAt(t, db, 2), "mistaken"))
	last, _ = answered(t, task(db))
	assert.False(t, last, "a case taken out")
}

// The key holds the schema of results and the bytes of the program, which no test can
// change while it runs.
func TestEveryPartOfTheKeyCounts(t *testing.T) {
	parts := []any{"records", results.DefaultSettings(), (*results.Results)(nil), "1", results.SchemaVersion, "program"}
	key := keyOf(parts...)
	for i := range parts {
		other := append([]any{}, parts...)
		other[i] = "other"
		assert.NotEqual(t, key, keyOf(other...), i)
	}
	assert.NotEqual(t, keyOf("a", "b"), keyOf("ab", ""))
	sum, err := self()
	require.NoError(t, err)
	assert.Len(t, sum, 64)
}

// TestABuildOfOneSource: a build of changed or unknown source is told by its bytes, whatever
// its version says.
func TestABuildOfOneSource(t *testing.T) {
	build := func(revision, modified string) *debug.BuildInfo {
		return &debug.BuildInfo{
			Main: debug.Module{Path: "shortfall", Version: "(devel)"}, Deps: []*debug.Module{{Path: "a", Version: "v1.0.0", Sum: "h1:x"}},
			Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: revision}, {Key: "vcs.modified", Value: modified}},
		}
	}
	assert.True(t, ofOneSource(build("c0ffee", "false")))
	assert.False(t, ofOneSource(build("c0ffee", "true")))
	assert.False(t, ofOneSource(build("", "false")))
	assert.False(t, ofOneSource(build("c0ffee", "")))
	local := build("c0ffee", "false")
	local.Deps[0].Replace = &debug.Module{Path: "../a"}
	assert.False(t, ofOneSource(local), "a folder may hold anything")
	local.Deps[0].Replace.Sum = "h1:y"
	assert.True(t, ofOneSource(local))
	installed := build("", "")
	installed.Main.Sum = "h1:z"
	assert.True(t, ofOneSource(installed))
	assert.False(t, ofOneSource(&debug.BuildInfo{}), "a test has none")
}

// placed is a database of which nothing but the path is asked.
type placed struct {
	store.Store
	path string
}

func (p placed) Path() string { return p.path }

// What is kept is bounded, and is nobody else's.
func TestWhatIsKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	at := path + lastEnding
	require.NoError(t, os.WriteFile(path, []byte("a database"), 0o600))
	db := placed{path: path}
	ctx := t.Context()
	res := &results.Results{SchemaVersion: results.SchemaVersion}
	for i := range mostLast + 3 {
		keep(ctx, db, "", keyOf(i), res)
	}
	list, err := lastOf(path)
	require.NoError(t, err)
	assert.Len(t, list, mostLast)
	oldest, _ := kept(ctx, db, keyOf(0))
	newest, day := kept(ctx, db, keyOf(mostLast+2))
	assert.Nil(t, oldest)
	assert.NotNil(t, newest)
	assert.Len(t, day, len("2026-11-26"))
	info, err := os.Stat(at)
	require.NoError(t, err)
	assert.Zero(t, info.Mode().Perm()&0o077, "its owner alone may read it")

	whole, err := os.ReadFile(at)
	require.NoError(t, err)
	step := 151
	if os.Getenv("SHORTFALL_LONG") != "" {
		step = 31
	}
	for i := 0; i < len(whole); i += step { // what was kept, or nothing
		require.NoError(t, os.WriteFile(at, flipped(whole, i), 0o600))
		for k := range mostLast {
			got, on := kept(ctx, db, keyOf(3+k))
			assert.True(t, got == nil && on == "" || on == day && assert.ObjectsAreEqual(newest, got), "a bit of byte %d", i)
		}
	}
	damaged(t, path, whole, res)
	notOurs(t, path, res)
	require.NoError(t, os.Remove(at))
	require.NoError(t, os.Chmod(path, 0o400))
	keep(ctx, db, "", "anew", res)
	assert.NoFileExists(t, at, "a database for reading")
}

// damaged puts damage in the place of a whole file: nothing of it is read, and it is made anew.
func damaged(t *testing.T, path string, whole []byte, res *results.Results) {
	t.Helper()
	db, ctx := placed{path: path}, t.Context()
	older := &bytes.Buffer{} // of programs that kept the results in the list
	require.NoError(t, pack(older, []byte(`[{"key":"`+keyOf(mostLast+2)+`","day":"2026-11-26","results":{}}]`)))
	under := &bytes.Buffer{}
	require.NoError(t, pack(under, []byte(`[{"key":"`+keyOf(3)+`","size":-1}]`)))
	for name, damage := range map[string][]byte{"below nothing": under.Bytes(), "cut": whole[:len(whole)-1], "a bit": flipped(whole, len(whole)-50), "longer": append(whole, 0), "older": older.Bytes()} {
		require.NoError(t, os.WriteFile(path+lastEnding, damage, 0o600))
		none, _ := kept(ctx, db, keyOf(3)) // which lies at the end
		assert.Nil(t, none, name)
		keep(ctx, db, "", "anew", res)
		made, _ := kept(ctx, db, "anew")
		assert.NotNil(t, made, name)
	}
}

// notOurs puts files of somebody else in its place: they stay as they are.
func notOurs(t *testing.T, path string, res *results.Results) {
	t.Helper()
	db, ctx, at := placed{path: path}, t.Context(), path+lastEnding
	var other bytes.Buffer
	z := gzip.NewWriter(&other)
	_, _ = z.Write([]byte("[]"))
	require.NoError(t, z.Close())
	for name, theirs := range map[string][]byte{"a text": []byte("mine"), "an archive": other.Bytes()} {
		require.NoError(t, os.WriteFile(at, theirs, 0o600))
		keep(ctx, db, "", "anew", res)
		require.NoError(t, Erase(db, func() error { return nil }))
		left, err := os.ReadFile(at)
		require.NoError(t, err)
		assert.Equal(t, theirs, left, name)
	}
}

func flipped(b []byte, at int) []byte {
	out := bytes.Clone(b)
	out[at] ^= 4
	return out
}

// Records erased for good leave nothing in the last results: they go first.
func TestErasingForgets(t *testing.T) {
	db := clinic(t)
	answered(t, task(db))
	at := db.Path() + lastEnding
	require.FileExists(t, at)
	require.NoError(t, Erase(db, func() error {
		assert.NoFileExists(t, at)
		return db.EraseCase(context.Background(), caseAt(t, db, 2))
	}))
	require.ErrorIs(t, Erase(db, func() error { return fs.ErrInvalid }), fs.ErrInvalid)
}

// Records of another moment than the database, as a page may have them, are kept for
// nobody.
func TestRecordsOfAnotherMomentAreNotKept(t *testing.T) {
	db := clinic(t)
	ds, err := db.Load(context.Background())
	require.NoError(t, err)
	require.NoError(t, db.RemoveCase(context.Background(), caseAt(t, db, 1), "mistaken"))
	a := task(db)
	a.Load = func(context.Context) (*casebook.Dataset, error) { return ds, nil }
	a.Sure = func() bool { return false }
	answered(t, a)
	last, _ := answered(t, task(db))
	assert.False(t, last)

	a = task(db) // somebody writes while it is audited
	a.Settings.ToleranceMM = 0.7
	a.Load = func(ctx context.Context) (*casebook.Dataset, error) {
		ds, err := db.Load(ctx)
		require.NoError(t, db.RemoveCase(ctx, caseAt(t, db, 0), "meanwhile"))
		return ds, err
	}
	answered(t, a)
	require.NoError(t, db.RestoreCase(context.Background(), caseAt(t, db, 0)))
	b := task(db)
	b.Settings.ToleranceMM = 0.7
	last, _ = answered(t, b)
	assert.False(t, last)
}

// Last results answer for a database whose look for damage is still to come only where every
// byte is as it was when it was looked at; anything else is looked at before it is read.
func TestLastResultsOfADamagedDatabase(t *testing.T) {
	made := clinic(t)
	path := made.Path()
	_, want := answered(t, task(made))
	require.NoError(t, made.Close())
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	last, err := os.ReadFile(path + lastEnding)
	require.NoError(t, err)
	opened := func(content []byte) (*sqlite.DB, error) {
		require.NoError(t, os.WriteFile(path, content, 0o600))
		require.NoError(t, os.WriteFile(path+lastEnding, last, 0o600))
		return sqlite.Open(t.Context(), path, sqlite.CheckLate())
	}
	const page = 4096
	step := 7 * page // everyday some pages, in the long form each
	if os.Getenv("SHORTFALL_LONG") != "" {
		step = page
	}
	for at := 0; at+page <= len(whole); at += step {
		for name, damage := range map[string]func([]byte) []byte{
			"flipped": func(b []byte) []byte { b[at+page/2] ^= 1; return b },
			"cleared": func(b []byte) []byte { clear(b[at : at+page]); return b },
			"cut":     func(b []byte) []byte { return b[:at] },
		} {
			damaged := damage(bytes.Clone(whole))
			early, found := sqlite.Open(t.Context(), writtenTo(t, damaged))
			if found == nil {
				require.NoError(t, early.Close())
			}
			db, err := opened(damaged)
			if err == nil && !bytes.Equal(damaged, whole) {
				day := ""
				_, day, err = task(db).Run(t.Context())
				assert.Empty(t, day, "page %d %s: answered from the last results", at/page, name)
				require.NoError(t, db.Close())
			}
			if found != nil && at > 0 {
				require.ErrorIs(t, err, store.ErrDamaged, "page %d %s: %v", at/page, name, found)
			}
		}
	}
	db, err := opened(whole) // put back as it was
	require.NoError(t, err)
	defer db.Close()
	again, text := answered(t, task(db))
	assert.True(t, again)
	assert.Equal(t, want(), text())
}

func writtenTo(t *testing.T, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, os.WriteFile(path, content, 0o600))
	return path
}
