package sheet_test

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/sheet/hostile"
)

var (
	measureAll = flag.Bool("hostile", false, "read every hostile file in a process of its own, and hold its time and memory against honest workbooks")
	onlyNamed  = flag.String("hostilename", "", "only files whose name holds this")
)

// childFile names the file that a child process reads and nothing else.
const childFile = "SHORTFALL_HOSTILE_FILE"

func TestMain(m *testing.M) {
	if path := os.Getenv(childFile); path != "" {
		_, err := ingest.Read(context.Background(), path, ingest.Options{})
		fmt.Println(peak())
		if err != nil {
			fmt.Println(strings.SplitN(err.Error(), "\n", 2)[0])
		}
		os.Exit(0)
	}
	debug.SetGCPercent(400) // tests make much garbage
	os.Exit(m.Run())
}

// peak is the most memory that was resident in this process, bytes: of the
// process alone, where what its parent is told of it begins at the parent's own.
func peak() int64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			n, _ := strconv.ParseInt(strings.TrimSuffix(strings.TrimSpace(rest), " kB"), 10, 64)
			return n << 10
		}
	}
	return 0
}

// cost of reading one file in a process of its own.
type cost struct {
	name   string
	size   int
	time   time.Duration // of the processor
	memory int64         // resident at the most, bytes
	said   string
}

func readAlone(t *testing.T, f hostile.File) cost {
	path := filepath.Join(t.TempDir(), strings.NewReplacer("/", "_", "\x00", "").Replace(f.Name))
	require.NoError(t, os.WriteFile(path, f.Data, 0o600))
	defer os.Remove(path)
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, "bash", "-c", `ulimit -v 8000000; exec "$0"`, os.Args[0])
	cmd.Env = append(os.Environ(), childFile+"="+path, "GOMAXPROCS=1")
	out, err := cmd.Output()
	c := cost{name: f.Name, size: len(f.Data), memory: 8 << 30}
	if first, said, ok := strings.Cut(string(out), "\n"); ok {
		c.said = strings.TrimSpace(said)
		c.memory, _ = strconv.ParseInt(first, 10, 64)
	}
	if err != nil {
		c.said = "FAILED: " + err.Error()
		if _, ok := errors.AsType[*exec.ExitError](err); !ok {
			require.NoError(t, err)
		}
	}
	c.time = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	return c
}

// The collection is as large as it says and no file of it is beyond its size.
func TestHostileCollection(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG=1: to make all files takes a minute, and everyday nothing reads them")
	}
	n, seen := 0, map[string]bool{}
	for f := range hostile.Files {
		n++
		assert.False(t, seen[f.Name], f.Name)
		seen[f.Name] = true
		assert.Less(t, len(f.Data), 20<<20, f.Name)
		assert.NotEmpty(t, f.Data, f.Name)
	}
	assert.GreaterOrEqual(t, n, 500)
	t.Log(n, "files")
}

// The bound: no hostile file costs more than three times the time and twice the
// memory of an honest workbook of its size. Below the floors no harm is done
// and a comparison says nothing.
const (
	timeFloor   = 300 * time.Millisecond
	memoryFloor = 64 << 20
)

func TestHostileFilesAreCheap(t *testing.T) {
	if !*measureAll {
		t.Skip("with -hostile: several minutes")
	}
	var honest []cost
	for _, n := range []int{1, 1000, 10_000, 50_000, 200_000} {
		data := hostile.Honest(n)
		honest = append(honest, readAlone(t, hostile.File{Name: fmt.Sprintf("honest, %d.xlsx", n), Data: data}))
		t.Logf("%+v", honest[len(honest)-1])
	}
	type ratio struct {
		cost
		time, memory float64
	}
	var all []ratio
	for f := range hostile.Files {
		if !strings.Contains(f.Name, *onlyNamed) {
			continue
		}
		c := readAlone(t, f)
		wantTime, wantMemory := between(honest, c.size)
		r := ratio{c, float64(c.time) / float64(max(wantTime, timeFloor)), float64(c.memory) / float64(max(wantMemory, memoryFloor))}
		all = append(all, r)
		if !assert.False(t, r.time > 3 || r.memory > 2 || strings.HasPrefix(c.said, "FAILED"), c.name) {
			t.Logf("%-50s %9d bytes %8.2f s %6d MB: %.1f times, %.1f times: %s", c.name, c.size, c.time.Seconds(), c.memory>>20, r.time, r.memory, c.said)
		}
	}
	slices.SortFunc(all, func(a, b ratio) int {
		return -cmp.Compare(max(a.time/3, a.memory/2), max(b.time/3, b.memory/2))
	})
	for _, r := range all[:min(len(all), 25)] {
		t.Logf("%-50s %9d bytes %8.2f s %6d MB: %.1f times, %.1f times: %s", r.name, r.size, r.cost.time.Seconds(), r.cost.memory>>20, r.time, r.memory, r.said)
	}
	t.Log(len(all), "files")
}

// between interpolates the cost of an honest workbook of a size.
func between(honest []cost, size int) (time.Duration, int64) {
	i := 1
	for i < len(honest)-1 && honest[i].size < size {
		i++
	}
	a, b := honest[i-1], honest[i]
	at := max(float64(size-a.size)/float64(b.size-a.size), 0)
	return a.time + time.Duration(at*float64(b.time-a.time)), a.memory + int64(at*float64(b.memory-a.memory))
}
