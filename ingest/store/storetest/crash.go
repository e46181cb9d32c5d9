package storetest

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// Kills is how many imports are killed at random moments, and Damage asks for the long
// form of every test that damages: 200 kills, 40 rounds of two processes at once, 60 full disks.
var (
	Kills  = flag.Int("kills", 0, "how many imports to kill at random moments; else 1, and 15 with SHORTFALL_LONG")
	Damage = flag.Bool("damage", false, "200 kills, 40 rounds of two imports at once, 60 full disks")
)

// Times is how often a test that damages is done: short, or long with -damage.
func Times(short, long int) int {
	if *Damage {
		return long
	}
	return short
}

// Everyday is how many of something a test takes: all of them in its long form, else few.
func Everyday(all, few int) int {
	if Long {
		return all
	}
	return few
}

// Environment of the test binary when it is started again as a child.
const (
	ChildTask    = "STORE_TEST_CHILD"
	ChildAddress = "STORE_TEST_DATABASE"
	childCases   = "STORE_TEST_CASES"
)

// Child is what TestMain of an implementation calls where ChildTask is set: it
// does one thing with a database in a process of its own, says so on standard
// output and gives the exit code, 0, or 4 after printing an error.
func (im Implementation) Child() int {
	ctx := context.Background()
	fail := func(err error) int {
		fmt.Println(err)
		return 4
	}
	db, err := im.Open(ctx, os.Getenv(ChildAddress))
	if err != nil {
		return fail(err)
	}
	defer db.Close()
	fmt.Println("open")
	switch task := os.Getenv(ChildTask); task {
	case EraseFirst:
		_, err = db.EraseFile(ctx, FileOf("first").SHA256)
	default:
		if n, err := strconv.Atoi(os.Getenv(childCases)); err == nil {
			CrashCases = n // as many as whoever started this has
		}
		_, err = db.Import(ctx, CrashBatch(task), store.Choices{})
	}
	if err != nil {
		return fail(err)
	}
	fmt.Println("done")
	return 0
}

// Tasks of a child.
const (
	ImportFirst  = "import first"
	ImportSecond = "import second"
	EraseFirst   = "erase first"
)

// Command starts the test binary again as a child.
func Command(task, address string) *exec.Cmd {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), ChildTask+"="+task, ChildAddress+"="+address, childCases+"="+strconv.Itoa(CrashCases))
	return c
}

// state is what must be all old or all new.
type state struct{ files, earlierVersions, cases, movements, history int }

// CrashCases is how many cases the first file of a CrashBatch has; the second has twice as many.
var CrashCases = Everyday(60, 10)

// crashTeeth is how many movements each of the two courses of these cases has.
const crashTeeth = 20

// CrashMovements is how many movements the first file has.
func CrashMovements() int { return CrashCases * 2 * crashTeeth }

// states are those with the first file of a CrashBatch, and with both.
func states() (first, both state) {
	return state{1, 0, CrashCases, CrashMovements(), 0}, state{2, 1, 2 * CrashCases, 2 * CrashMovements(), CrashMovements() / 5}
}

// CrashBatch is what a child imports: the second import corrects a fifth of the first and adds cases.
func CrashBatch(task string) *casebook.Batch {
	if task == ImportFirst {
		return Practice("first", CrashCases, crashTeeth)
	}
	b := Practice("second", 2*CrashCases, crashTeeth)
	first := values(Practice("first", CrashCases, crashTeeth).Movements)
	for i := range first {
		b.Movements[i].Value = first[i]
		if i%5 == 0 {
			b.Movements[i].Value.Planned++
		}
	}
	return b
}

func (im Implementation) stateOf(t testing.TB, address string) state {
	t.Helper()
	ctx := context.Background()
	db, err := im.Open(ctx, address)
	require.NoError(t, err)
	defer db.Close()
	ds := MustLoad(t, db)
	cases, err := db.Cases(ctx)
	require.NoError(t, err)
	history, earlier := 0, 0
	for _, c := range cases {
		list, err := db.History(ctx, c.CaseKey)
		require.NoError(t, err)
		history += len(list)
	}
	for _, f := range ds.Files {
		if f.LaterVersion != "" {
			earlier++
		}
	}
	require.NoError(t, db.Close())
	if im.Check != nil {
		im.Check(t, address)
	}
	return state{len(ds.Files), earlier, len(ds.Cases), len(ds.Movements), history}
}

var startsAgain = sync.OnceValue(func() error { return exec.Command(os.Args[0], "-test.run=^$").Run() })

// testKilledImport kills an import at random moments: the database holds all
// of the file or none of it, and running the import again completes it.
func (im Implementation) testKilledImport(t *testing.T) {
	if err := startsAgain(); err != nil {
		t.Skip("the test binary cannot be started again here:", err)
	}
	before, after := states()
	whole := im.withFirst(t)
	if Long { // everyday what is killed tells the same
		require.Equal(t, before, im.stateOf(t, whole))
	}
	start := time.Now()
	require.NoError(t, Command(ImportSecond, whole).Run())
	length := time.Since(start)
	if Long {
		require.Equal(t, after, im.stateOf(t, whole))
	}
	im.killAll(t, ImportSecond, before, after, length, im.kills())
}

// killAll kills a task so often within the time that it took, and goes on, ever earlier,
// until one kill came in time: else the test would prove nothing.
func (im Implementation) killAll(t *testing.T, task string, before, after state, length time.Duration, n int) {
	counts := map[string]int{}
	for i := 0; i < n || counts["none"] == 0; i++ {
		if i >= n {
			length /= 2
		}
		part := (float64(i%n) + moments.Float64()) / float64(n) // one in each part of its time
		counts[im.killed(t, task, before, after, time.Duration(1.1*part*float64(length)))]++
	}
	t.Logf("kills within %v: %v", length.Round(time.Millisecond), counts)
}

// HowOften is how often to kill: once everyday, more often in the long forms.
func HowOften() int {
	switch {
	case *Damage:
		return 200
	case *Kills > 0:
		return *Kills
	case Long:
		return 15
	}
	return 1
}

func (im Implementation) kills() int {
	if im.Dear {
		return min(HowOften(), 4)
	}
	return HowOften()
}

var moments = rand.New(rand.NewPCG(7, 7))

// killed kills a task after a while and says whether all of it was done or none;
// anything else fails, and so does a rerun that does not complete it.
func (im Implementation) killed(t *testing.T, task string, before, after state, alive time.Duration) (left string) {
	address := im.withFirst(t)
	c := Command(task, address)
	require.NoError(t, c.Start())
	time.Sleep(alive)
	c.Process.Kill() // SIGKILL
	err := c.Wait()
	switch got := im.stateOf(t, address); {
	case got == after:
		left = "all"
	case got == before && err != nil:
		left = "none"
	default:
		t.Fatalf("a kill left %+v", got)
	}
	if left == "none" || task == ImportSecond { // a file that is erased cannot be erased again
		require.NoError(t, Command(task, address).Run())
	}
	require.Equal(t, after, im.stateOf(t, address), "the rerun completes it")
	return left
}

// testKilledErasure kills the erasure of a file, which touches every table: it is
// whole or gone.
func (im Implementation) testKilledErasure(t *testing.T) {
	if HowOften() == 1 {
		t.Skip("with SHORTFALL_LONG; everyday KilledImport")
	}
	if err := startsAgain(); err != nil {
		t.Skip("the test binary cannot be started again here:", err)
	}
	before, _ := states()
	var after state
	whole := im.withFirst(t)
	start := time.Now()
	require.NoError(t, Command(EraseFirst, whole).Run())
	length := time.Since(start)
	require.Equal(t, after, im.stateOf(t, whole))
	im.killAll(t, EraseFirst, before, after, length, im.kills())
}

// withFirst is a new database that holds the first file.
func (im Implementation) withFirst(t testing.TB) string {
	address := im.Address(t)
	db, err := im.Open(context.Background(), address)
	require.NoError(t, err)
	MustImport(t, db, CrashBatch(ImportFirst))
	require.NoError(t, db.Close())
	return address
}

// both runs two children at once and fails with what they said.
func both(t *testing.T, address, first, second string) {
	t.Helper()
	said := make(chan error, 2)
	for _, task := range []string{first, second} {
		go func() {
			out, err := Command(task, address).CombinedOutput()
			if err != nil {
				err = fmt.Errorf("%w: %s", err, out)
			}
			said <- err
		}()
	}
	for range 2 {
		assert.NoError(t, <-said)
	}
}

func (im Implementation) testTwoImportsAtOnce(t *testing.T) {
	for range Times(1, 20) {
		address := im.Address(t)
		both(t, address, ImportFirst, ImportSecond)
		got := im.stateOf(t, address)
		_, want := states()
		want.earlierVersions = got.earlierVersions // of whichever came first
		require.Equal(t, want, got, "whichever came second corrected the other")
	}
}

func (im Implementation) testSameFileTwiceAtOnce(t *testing.T) {
	if !Long && !*Damage {
		t.Skip("with SHORTFALL_LONG; everyday TwoImportsAtOnce")
	}
	for range Times(1, 20) {
		address := im.Address(t)
		both(t, address, ImportFirst, ImportFirst)
		want, _ := states()
		require.Equal(t, want, im.stateOf(t, address))
	}
}

// A cancelled import (Ctrl-C) gives the context's error and keeps nothing. One that is over
// before it is cancelled is cancelled sooner.
func (im Implementation) testCancelledImport(t *testing.T) {
	b := Practice("long", Everyday(400, 40), 20)
	for after := 20 * time.Millisecond; ; after /= 2 {
		db := im.Create(t)
		ctx, cancel := context.WithTimeout(t.Context(), after)
		_, err := db.Import(ctx, b, store.Choices{})
		cancel()
		if err == nil {
			continue
		}
		assert.ErrorIs(t, err, context.DeadlineExceeded)
		assert.Empty(t, MustLoad(t, db).Files)
		MustImport(t, db, Practice("short", 2, 2))
		return
	}
}
