package store

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

var kills = flag.Int("kills", 15, "how many imports to kill at random moments; the long form is 200")

// Environment of the test binary when it is started again as a child.
const (
	childTask = "STORE_TEST_CHILD"
	childPath = "STORE_TEST_DATABASE"
)

func TestMain(m *testing.M) {
	if task := os.Getenv(childTask); task != "" {
		os.Exit(child(task, os.Getenv(childPath)))
	}
	os.Exit(m.Run())
}

// child does one thing with a database in a process of its own; it says so on
// standard output and exits with 0, or prints its error and exits with 4.
func child(task, path string) int {
	ctx := context.Background()
	fail := func(err error) int {
		fmt.Println(err)
		return 4
	}
	if task == "hold temporary" {
		db, err := OpenTemp(ctx)
		if err != nil {
			return fail(err)
		}
		fmt.Println(db.temp)
		time.Sleep(time.Minute)
	}
	db, err := Open(ctx, path)
	if err != nil {
		return fail(err)
	}
	defer db.Close()
	fmt.Println("open")
	switch task {
	case "import first", "import second":
		if _, err = db.Import(ctx, crashBatch(task), Choices{}); err != nil {
			return fail(err)
		}
	case "hold": // keep the write lock until killed
		if _, err = db.sql.Exec("BEGIN EXCLUSIVE"); err != nil {
			return fail(err)
		}
		fmt.Println("held")
		time.Sleep(time.Minute)
	}
	fmt.Println("done")
	return 0
}

func command(task, path string) *exec.Cmd {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childTask+"="+task, childPath+"="+path)
	return c
}

// crashBatch: the second import corrects a fifth of the first and adds cases.
func crashBatch(task string) *casebook.Batch {
	if task == "import first" {
		return practice("first", 60, 20)
	}
	b := practice("second", 120, 20)
	first := values(practice("first", 60, 20).Movements)
	for i := range first {
		b.Movements[i].Value = first[i]
		if i%5 == 0 {
			b.Movements[i].Value.Planned++
		}
	}
	return b
}

// state is what must be all old or all new.
type state struct{ files, earlierVersions, cases, movements, history int }

func stateOf(t *testing.T, path string) state {
	t.Helper()
	ctx := context.Background()
	db, err := Open(ctx, path) // includes quick_check
	require.NoError(t, err)
	defer db.Close()
	ds := mustLoad(t, db)
	var history, orphans int
	require.NoError(t, db.sql.QueryRow("SELECT count(*) FROM history").Scan(&history))
	require.NoError(t, db.sql.QueryRow("SELECT count(*) FROM pragma_foreign_key_check").Scan(&orphans))
	assert.Zero(t, orphans)
	earlier := 0
	for _, f := range ds.Files {
		if f.LaterVersion != "" {
			earlier++
		}
	}
	return state{len(ds.Files), earlier, len(ds.Cases), len(ds.Movements), history}
}

// TestKilledImport kills an import at random moments: the database holds all
// of the file or none of it, and running the import again completes it.
func TestKilledImport(t *testing.T) {
	if _, err := exec.Command(os.Args[0], "-test.run=^$").Output(); err != nil {
		t.Skip("the test binary cannot be started again here:", err)
	}
	base := filepath.Join(t.TempDir(), "base.db")
	require.NoError(t, command("import first", base).Run())
	content, err := os.ReadFile(base)
	require.NoError(t, err)
	before := state{1, 0, 60, 2400, 0}
	after := state{2, 1, 120, 4800, 480}
	require.Equal(t, before, stateOf(t, base))

	start := time.Now()
	whole := filepath.Join(t.TempDir(), "whole.db")
	require.NoError(t, os.WriteFile(whole, content, 0o600))
	require.NoError(t, command("import second", whole).Run())
	length := time.Since(start)
	require.Equal(t, after, stateOf(t, whole))

	rng := rand.New(rand.NewPCG(7, 7))
	counts := map[string]int{}
	n := *kills
	if testing.Short() {
		n = min(n, 5)
	}
	for i := range n {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("%d.db", i))
		require.NoError(t, os.WriteFile(path, content, 0o600))
		c := command("import second", path)
		require.NoError(t, c.Start())
		time.Sleep(time.Duration(rng.Float64() * 1.1 * float64(length)))
		c.Process.Kill() // SIGKILL
		err := c.Wait()
		_, journal := os.Stat(path + "-journal")
		switch got := stateOf(t, path); {
		case got == after:
			counts["all"]++
		case got == before && err != nil:
			counts["none"]++
		default:
			t.Fatalf("kill %d left %+v", i, got)
		}
		if journal == nil {
			counts["of these, with a journal to roll back"]++
		}
		require.NoError(t, command("import second", path).Run())
		require.Equal(t, after, stateOf(t, path), "the rerun completes it")
		require.NoError(t, os.Remove(path))
	}
	t.Logf("%d kills within %v: %v", n, length.Round(time.Millisecond), counts)
	assert.NotZero(t, counts["none"], "no kill came in time; the test proved nothing")
}

func TestTwoImportsAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	a, b := command("import first", path), command("import second", path)
	require.NoError(t, a.Start())
	require.NoError(t, b.Start())
	require.NoError(t, a.Wait())
	require.NoError(t, b.Wait())
	got := stateOf(t, path)
	assert.Equal(t, 2, got.files)
	assert.Equal(t, 120, got.cases)
	assert.Equal(t, 4800, got.movements)
	assert.Equal(t, 480, got.history, "whichever came second corrected the other")
}

func TestSameFileTwiceAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	a, b := command("import first", path), command("import first", path)
	require.NoError(t, a.Start())
	require.NoError(t, b.Start())
	require.NoError(t, a.Wait())
	require.NoError(t, b.Wait())
	assert.Equal(t, state{1, 0, 60, 2400, 0}, stateOf(t, path))
}

func TestLockedDatabase(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clinic.db")
	require.NoError(t, command("import first", path).Run())
	c := command("hold", path)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	defer func() { c.Process.Kill(); c.Wait() }()
	buf := make([]byte, 64)
	for said := ""; said != "open\nheld\n"; {
		n, err := out.Read(buf)
		require.NoError(t, err)
		said += string(buf[:n])
	}
	patience := busyTimeout
	busyTimeout = "50"
	defer func() { busyTimeout = patience }()
	_, err = Open(context.Background(), path)
	require.ErrorIs(t, err, ErrLocked)
	assert.ErrorContains(t, err, "another program is using the database")
	assert.ErrorContains(t, err, "try again")
}

// The temporary database of a running process is left alone, and gone at the
// next start once that process was killed.
func TestTempOfAKilledProcess(t *testing.T) {
	parent := t.TempDir()
	c := command("hold temporary", "")
	c.Env = append(c.Env, "TMPDIR="+parent)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	dir, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	dir = strings.TrimSpace(dir)
	later := time.Now().Add(2 * tempGrace)
	removeStale(context.Background(), parent, later)
	assert.DirExists(t, dir)
	require.NoError(t, c.Process.Kill())
	c.Wait()
	removeStale(context.Background(), parent, later)
	assert.NoDirExists(t, dir)
}

// A cancelled import (Ctrl-C) gives the context's error and keeps nothing.
func TestCancelledImport(t *testing.T) {
	db := create(t)
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	_, err := db.Import(ctx, practice("long", 400, 20), Choices{})
	require.Error(t, err)
	assert.True(t, errors.Is(err, context.DeadlineExceeded), "%v", err)
	assert.Empty(t, mustLoad(t, db).Files)
	mustImport(t, db, practice("short", 2, 2))
}
