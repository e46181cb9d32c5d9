package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// practiceAt makes a database of so many cases.
func practiceAt(t *testing.T, path string, cases int) *casebook.Dataset {
	t.Helper()
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	storetest.MustImport(t, db, storetest.Practice(fmt.Sprint(cases), cases, storetest.Everyday(20, 5)))
	return storetest.MustLoad(t, db)
}

func loadAt(t *testing.T, path string) *casebook.Dataset {
	t.Helper()
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	return storetest.MustLoad(t, db)
}

func listOf(t *testing.T, dir string) (names []string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

func TestBackupReadsBack(t *testing.T) {
	dir := t.TempDir()
	path, to := filepath.Join(dir, "clinic.db"), filepath.Join(dir, "copy.backup")
	want := practiceAt(t, path, 40)
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	steps := 0
	made, err := db.Backup(context.Background(), to, func(done, all int) { steps++; assert.LessOrEqual(t, done, all) })
	require.NoError(t, err)
	assert.Positive(t, steps)
	info, err := os.Stat(to)
	require.NoError(t, err)
	assert.Equal(t, store.Copy{Path: to, Cases: 40, Movements: len(want.Movements), Bytes: info.Size()}, made)
	if runtime.GOOS != "windows" {
		assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
	assert.Equal(t, want, loadAt(t, to))
	assert.Equal(t, []string{"clinic.db", "copy.backup"}, listOf(t, dir), "nothing else is left")

	before, err := os.ReadFile(to)
	require.NoError(t, err)
	_, err = db.Backup(context.Background(), to, nil)
	require.ErrorIs(t, err, os.ErrExist)
	assert.ErrorContains(t, err, "Name a file that does not exist yet")
	after, err := os.ReadFile(to)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	_, err = db.Backup(context.Background(), filepath.Join(dir, "no", "copy"), nil)
	assert.ErrorContains(t, err, "in a folder that exists")
	stopped, cancel := context.WithCancel(context.Background())
	_, err = db.Backup(stopped, filepath.Join(dir, "stopped"), func(int, int) { cancel() })
	assert.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, []string{"clinic.db", "copy.backup"}, listOf(t, dir))
}

// A copy that lacks a row, or a page of which is spoilt, gets no name: what the
// database holds is counted in it, and not in the copy.
func TestBackupThatDiffersIsRefused(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "clinic.db")
	practiceAt(t, path, 30)
	db, err := openToRead(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	want, err := rowCounts(context.Background(), db.sql)
	require.NoError(t, err)
	assert.Equal(t, 30, want["cases"])
	for name, spoil := range map[string]func(copy string){
		"a row less": func(copy string) {
			pool, err := sql.Open("sqlite", copy)
			require.NoError(t, err)
			_, err = pool.Exec("DELETE FROM movements WHERE (case_id, course, tooth, axis) IN (SELECT case_id, course, tooth, axis FROM movements LIMIT 1)")
			require.NoError(t, err)
			require.NoError(t, pool.Close())
		},
		"a page of zeroes": func(copy string) { damage(t, copy) },
	} {
		copied := filepath.Join(dir, name)
		require.NoError(t, raw(path, copied))
		_, err := readBack(context.Background(), copied, want)
		require.NoError(t, err)
		spoil(copied)
		_, err = readBack(context.Background(), copied, want)
		assert.ErrorIs(t, err, store.ErrDamaged, name)
	}
}

func damage(t *testing.T, path string) {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	clear(b[10*4096 : 14*4096])
	require.NoError(t, os.WriteFile(path, b, 0o600))
}

func TestRestore(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	path, copied := filepath.Join(dir, "clinic.db"), filepath.Join(dir, "copy.backup")
	old := practiceAt(t, copied, 20)
	now := practiceAt(t, path, 50)
	kept, err := os.ReadFile(copied)
	require.NoError(t, err)

	window, err := Open(ctx, path) // another window
	require.NoError(t, err)
	defer window.Close()
	done, err := Restore(ctx, copied, path, nil)
	require.NoError(t, err)
	aside := filepath.Join(dir, "clinic.before-restore.backup")
	assert.Equal(t, aside, done.Aside)
	assert.Equal(t, 20, done.Cases)
	assert.Equal(t, old, loadAt(t, path))
	assert.Equal(t, now, loadAt(t, aside))
	assert.Equal(t, old, storetest.MustLoad(t, window), "who has it open sees the copy")
	storetest.MustImport(t, window, other(storetest.Practice("more", 60, storetest.Everyday(20, 5))))
	assert.Len(t, loadAt(t, path).Cases, 80, "and writes into the restored database")
	still, err := os.ReadFile(copied)
	require.NoError(t, err)
	assert.Equal(t, kept, still, "the copy stays as it is")

	done, err = Restore(ctx, copied, path, nil)
	require.NoError(t, err)
	assert.Equal(t, aside+"-2", done.Aside, "no copy replaces another")
	assert.Equal(t, now, loadAt(t, aside))
	require.NoError(t, window.Close())
	assert.Equal(t, []string{"clinic.before-restore.backup", "clinic.before-restore.backup-2", "clinic.db", "copy.backup"}, listOf(t, dir))

	fresh := filepath.Join(dir, "fresh.db")
	done, err = Restore(ctx, copied, fresh, nil)
	require.NoError(t, err)
	assert.Empty(t, done.Aside)
	assert.Equal(t, old, loadAt(t, fresh))
}

// A damaged database, and one with a journal that would spoil what takes its
// place, lie aside as they were found.
func TestRestoreOverDamage(t *testing.T) {
	dir := t.TempDir()
	path, copied := filepath.Join(dir, "clinic.db"), filepath.Join(dir, "copy.backup")
	old := practiceAt(t, copied, 20)
	practiceAt(t, path, 50)
	damage(t, path)
	broken, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path+"-journal", []byte("no journal of SQLite"), 0o600))
	done, err := Restore(context.Background(), copied, path, nil)
	require.NoError(t, err)
	assert.True(t, done.Broken)
	aside, err := os.ReadFile(done.Aside)
	require.NoError(t, err)
	assert.Equal(t, broken, aside)
	assert.NoFileExists(t, path+"-journal")
	assert.Equal(t, old, loadAt(t, path))
}

func TestRestoreRefuses(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	path, copied := filepath.Join(dir, "clinic.db"), filepath.Join(dir, "copy.backup")
	practiceAt(t, copied, 20)
	practiceAt(t, path, 50)
	spoilt := filepath.Join(dir, "spoilt.backup")
	require.NoError(t, raw(copied, spoilt))
	damage(t, spoilt)
	letter := filepath.Join(dir, "letter.docx")
	require.NoError(t, os.WriteFile(letter, make([]byte, 5000), 0o600))
	empty := filepath.Join(dir, "empty.db")
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	theirs := filepath.Join(dir, "theirs.db")
	pool, err := sql.Open("sqlite", theirs)
	require.NoError(t, err)
	_, err = pool.Exec("CREATE TABLE a (b)")
	require.NoError(t, err)
	require.NoError(t, pool.Close())
	names := listOf(t, dir)
	for _, c := range []struct {
		from, to string
		want     *store.Error
		says     string
	}{
		{spoilt, path, store.ErrDamaged, "spoilt.backup"},
		{letter, path, store.ErrNotDatabase, "letter.docx"},
		{empty, path, store.ErrNotDatabase, "empty.db"},
		{theirs, path, store.ErrForeign, "theirs.db"},
		{filepath.Join(dir, "none"), path, store.ErrCannotOpen, "none"},
		{dir, path, store.ErrCannotOpen, "no plain file"},
		{path, path, store.ErrCannotOpen, "same file"},
		{copied, letter, store.ErrNotDatabase, "Move that file elsewhere"},
		{copied, theirs, store.ErrForeign, "Move that file elsewhere"},
	} {
		before, _ := os.ReadFile(c.to)
		_, err := Restore(ctx, c.from, c.to, nil)
		require.ErrorIs(t, err, c.want, "%s to %s", c.from, c.to)
		assert.ErrorContains(t, err, c.says)
		after, _ := os.ReadFile(c.to)
		assert.Equal(t, before, after)
	}
	assert.Equal(t, names, listOf(t, dir))
}

// A copy made by an older program is brought to the newest schema on its way, and
// stays as it is itself.
func TestRestoreOfAnOlderCopy(t *testing.T) {
	dir := t.TempDir()
	copied := filepath.Join(dir, "old.backup")
	pool := atVersion(t, copied, 3)
	_, err := pool.Exec(`INSERT INTO files VALUES (1, 'old.xlsx', '` + storetest.FileOf("old").SHA256 + `', 3, 0);
		INSERT INTO layouts VALUES (1, 1, '[["A","case"]]');
		INSERT INTO cases (case_id, practice, file_id, sheet, row, layout_id, original) VALUES ('C-1', 'P', 1, 's', 2, 1, '["C-1"]')`)
	require.NoError(t, err)
	require.NoError(t, pool.Close())
	before, err := os.ReadFile(copied)
	require.NoError(t, err)
	done, err := Restore(context.Background(), copied, filepath.Join(dir, "clinic.db"), nil)
	require.NoError(t, err)
	assert.Equal(t, 1, done.Cases)
	after, err := os.ReadFile(copied)
	require.NoError(t, err)
	assert.Equal(t, before, after)
	assert.Equal(t, []string{"clinic.db", "old.backup"}, listOf(t, dir))
}

// Whatever others write meanwhile, a copy is of one moment.
func TestBackupWhileAnotherImports(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "clinic.db")
	require.NoError(t, storetest.Command(storetest.ImportFirst, path).Run())
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	c := storetest.Command(storetest.ImportSecond, path)
	require.NoError(t, c.Start())
	for i := 0; ; i++ {
		made, err := db.Backup(context.Background(), filepath.Join(dir, fmt.Sprint(i)), nil)
		require.NoError(t, err)
		require.Contains(t, []int{storetest.CrashCases, 2 * storetest.CrashCases}, made.Cases)
		assert.Len(t, loadAt(t, made.Path).Cases, made.Cases)
		if made.Cases == 2*storetest.CrashCases || i > 200 {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	require.NoError(t, c.Wait())
	assert.Equal(t, 2*storetest.CrashCases, casesAt(t, path))
}

// Killed at any moment a restore leaves the database old or new and whole, and no
// copy that is not whole.
func TestKilledRestore(t *testing.T) {
	old, now := 20, 120
	start := t.TempDir()
	practiceAt(t, filepath.Join(start, "copy.backup"), old)
	practiceAt(t, filepath.Join(start, "clinic.db"), now)
	took := time.Duration(0)
	runs := storetest.HowOften()
	for i := range runs + 1 {
		dir := t.TempDir()
		path := filepath.Join(dir, "clinic.db")
		for _, name := range listOf(t, start) {
			require.NoError(t, raw(filepath.Join(start, name), filepath.Join(dir, name)))
		}
		c := storetest.Command("restore", path)
		began := time.Now()
		require.NoError(t, c.Start())
		if i > 0 { // the first runs to its end, and times the others
			time.Sleep(took * time.Duration(i) / time.Duration(runs+1))
			c.Process.Kill()
		}
		c.Wait()
		if i == 0 {
			took = time.Since(began)
			require.Equal(t, old, casesAt(t, path))
		}
		cases := casesAt(t, path)
		require.Contains(t, []int{old, now}, cases)
		aside := filepath.Join(dir, "clinic.before-restore.backup")
		_, err := os.Stat(aside)
		if cases == old || err == nil {
			require.Equal(t, now, casesAt(t, aside), "what was replaced is aside, whole")
		}
		require.Equal(t, old, casesAt(t, filepath.Join(dir, "copy.backup")))
	}
}

func casesAt(t *testing.T, path string) int {
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	return len(storetest.MustLoad(t, db).Cases)
}

// other moves a batch to another practice.
func other(b *casebook.Batch) *casebook.Batch {
	for i := range b.Cases {
		b.Cases[i].Value.Practice = "other"
	}
	for i := range b.Courses {
		b.Courses[i].Value.Case.Practice = "other"
	}
	for i := range b.Movements {
		b.Movements[i].Value.Case.Practice = "other"
	}
	return b
}
