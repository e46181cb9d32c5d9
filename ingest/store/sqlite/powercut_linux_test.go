package sqlite

import (
	"bufio"
	"context"
	"encoding/hex"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/storetest"
)

// A power cut takes with it what was written and not yet synced: of a file its
// writes since the last fsync, of a folder the names made and taken since the
// folder's own. The system calls of a real import are recorded and replayed into
// such a disk, which is cut at every sync point and after the import was reported.

// diskOp is one recorded call on the files of the database.
type diskOp struct {
	kind string // write, truncate, sync, create, unlink, syncdir, done
	name string
	off  int64
	data []byte
}

// importFull is the task of a child that opens the database as SQLite does by
// itself, without the sync of the folder.
const importFull = "import second, synchronous full"

func TestPowerCuts(t *testing.T) {
	ops, before := record(t, storetest.ImportSecond)
	syncs, done := syncPoints(ops)
	require.GreaterOrEqual(t, len(syncs), 5) // journal, folder, journal again, database, folder
	rng := rand.New(rand.NewPCG(3, 3))
	outcomes := map[string]int{}
	cuts := slices.Clone(syncs)
	between := 2
	if n := storetest.HowOften(); n > 1 {
		between = n + 4
	}
	for range between {
		cuts = append(cuts, rng.IntN(done))
	}
	for _, cut := range cuts {
		for _, keep := range []float64{0, 0.5, 1}[:storetest.Everyday(3, 2)] {
			d := replay(before, ops[:cut], func() bool { return rng.Float64() < keep })
			outcomes[stateAfter(t, d)]++
		}
	}
	assert.Positive(t, outcomes["none"])
	assert.Zero(t, outcomes["part"], "%v", outcomes)
	for i := range storetest.Everyday(6, 2) {
		d := replay(before, ops[:done], func() bool { return i > 0 && rng.IntN(2) == 0 })
		assert.Equal(t, "all", stateAfter(t, d), "a reported import lasts")
	}
	t.Logf("%d places, %d of them sync points, each cut in two ways or three: %v", len(cuts), len(syncs), outcomes)
}

// The replay tells the difference: without the sync of the folder the journal
// can come back, and it takes a reported import back with it.
func TestPowerCutWithoutFolderSync(t *testing.T) {
	if storetest.HowOften() == 1 {
		t.Skip("with SHORTFALL_LONG; everyday TestPowerCuts")
	}
	ops, before := record(t, importFull)
	_, done := syncPoints(ops)
	d := replay(before, ops[:done], func() bool { return false })
	assert.Equal(t, "none", stateAfter(t, d))
}

// record runs the second import under strace and gives its calls, with the
// database as it was before them.
func record(t *testing.T, task string) ([]diskOp, map[string][]byte) {
	t.Helper()
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip("NOT TESTED: power cuts need strace(1) to record the system calls of an import")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "clinic.db")
	require.NoError(t, storetest.Command(storetest.ImportFirst, path).Run())
	content, err := os.ReadFile(path)
	require.NoError(t, err)
	trace := filepath.Join(t.TempDir(), "trace")
	c := exec.Command(strace, "-f", "-y", "-xx", "-s", "1000000", "-o", trace,
		"-e", "trace=?open,openat,write,pwrite64,ftruncate,fsync,fdatasync,?unlink,unlinkat,?rename,?renameat,renameat2", os.Args[0])
	c.Env = append(os.Environ(), storetest.ChildTask+"="+task, storetest.ChildAddress+"="+path)
	if out, err := c.CombinedOutput(); err != nil {
		t.Skipf("NOT TESTED: strace cannot run here: %v: %.200s", err, out)
	}
	return parseTrace(t, trace, dir), map[string][]byte{"clinic.db": content}
}

var (
	quoted  = regexp.MustCompile(`"((?:\\x[0-9a-f]{2})*)"`)
	onFile  = regexp.MustCompile(`^(\d+)<([^>]*)>`)
	resumed = regexp.MustCompile(`^<\.\.\. \w+ resumed>`)
)

func unescape(s string) string {
	b, err := hex.DecodeString(strings.ReplaceAll(s, `\x`, ""))
	if err != nil {
		return s
	}
	return string(b)
}

// parseTrace reads the calls that touch the folder. strace splits a call of one
// thread that another interrupts into two lines.
func parseTrace(t *testing.T, trace, dir string) []diskOp {
	t.Helper()
	f, err := os.Open(trace)
	require.NoError(t, err)
	defer f.Close()
	var ops []diskOp
	waiting := map[string]string{}
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 64<<20)
	for lines.Scan() {
		pid, line, _ := strings.Cut(lines.Text(), " ")
		line = strings.TrimSpace(line)
		if head, ok := strings.CutSuffix(line, " <unfinished ...>"); ok {
			waiting[pid] = head
			continue
		}
		if m := resumed.FindString(line); m != "" {
			line = waiting[pid] + line[len(m):]
		}
		name, rest, ok := strings.Cut(line, "(")
		if !ok || strings.Contains(rest, ") = -1") {
			continue
		}
		ops = append(ops, opsOf(name, rest, dir)...)
	}
	require.NoError(t, lines.Err())
	return ops
}

// opsOf turns one call into what it does to the disk.
func opsOf(call, args, dir string) []diskOp {
	target := ""
	if m := onFile.FindStringSubmatch(args); m != nil {
		target = unescape(m[2])
		if m[1] == "1" && call == "write" && strings.Contains(args, hexOf("done\n")) {
			return []diskOp{{kind: "done"}}
		}
	}
	base, inside := strings.CutPrefix(target, dir+"/")
	numbers := func() []string { return strings.Split(args[strings.LastIndex(args, `"`)+1:], ",") }
	switch call {
	case "open", "openat":
		m := quoted.FindStringSubmatch(args)
		if m == nil || !strings.Contains(args, "O_CREAT") {
			return nil
		}
		if base, ok := strings.CutPrefix(unescape(m[1]), dir+"/"); ok {
			return []diskOp{{kind: "create", name: base}}
		}
	case "pwrite64":
		if n := numbers(); inside && len(n) == 3 {
			off, _ := strconv.ParseInt(strings.TrimSpace(strings.SplitN(n[2], ")", 2)[0]), 10, 64)
			return []diskOp{{kind: "write", name: base, off: off, data: []byte(unescape(quoted.FindStringSubmatch(args)[1]))}}
		}
	case "ftruncate":
		if inside {
			size, _ := strconv.ParseInt(strings.TrimSpace(strings.SplitN(strings.SplitN(args, ",", 2)[1], ")", 2)[0]), 10, 64)
			return []diskOp{{kind: "truncate", name: base, off: size}}
		}
	case "fsync", "fdatasync":
		if inside {
			return []diskOp{{kind: "sync", name: base}}
		}
		if target == dir {
			return []diskOp{{kind: "syncdir"}}
		}
	case "unlink", "unlinkat":
		if m := quoted.FindStringSubmatch(args); m != nil {
			if base, ok := strings.CutPrefix(unescape(m[1]), dir+"/"); ok {
				return []diskOp{{kind: "unlink", name: base}}
			}
		}
	case "write", "rename", "renameat", "renameat2":
		if inside || strings.Contains(unescapeAll(args), dir) {
			panic("a call that the replay does not know: " + call)
		}
	}
	return nil
}

func hexOf(s string) string {
	out := ""
	for i := range len(s) {
		out += fmt.Sprintf(`\x%02x`, s[i])
	}
	return out
}

func unescapeAll(s string) string {
	return quoted.ReplaceAllStringFunc(s, func(q string) string { return unescape(strings.Trim(q, `"`)) })
}

// syncPoints are the places just before each sync; done is where the import was
// reported.
func syncPoints(ops []diskOp) (points []int, done int) {
	for i, o := range ops {
		switch o.kind {
		case "sync", "syncdir":
			points = append(points, i)
		case "done":
			done = i
		}
	}
	return points, done
}

// inode is a file with what of it is safe and what is not.
type inode struct {
	safe    []byte
	pending []diskOp
}

// replay gives the files that are left when the power goes after the calls: all
// that was synced, and of the rest what survives says.
func replay(before map[string][]byte, ops []diskOp, survives func() bool) map[string][]byte {
	names, safeNames := map[string]*inode{}, map[string]*inode{}
	for name, content := range before {
		i := &inode{safe: slices.Clone(content)}
		names[name], safeNames[name] = i, i
	}
	var pendingNames []func(map[string]*inode)
	for _, o := range ops {
		switch o.kind {
		case "create":
			if names[o.name] == nil {
				i := &inode{}
				names[o.name] = i
				pendingNames = append(pendingNames, func(m map[string]*inode) { m[o.name] = i })
			}
		case "unlink":
			delete(names, o.name)
			pendingNames = append(pendingNames, func(m map[string]*inode) { delete(m, o.name) })
		case "write", "truncate":
			names[o.name].pending = append(names[o.name].pending, o)
		case "sync":
			i := names[o.name]
			for _, p := range i.pending {
				i.safe = p.apply(i.safe)
			}
			i.pending = nil
		case "syncdir":
			safeNames, pendingNames = maps.Clone(names), nil
		}
	}
	for _, change := range pendingNames {
		if survives() {
			change(safeNames)
		}
	}
	out := map[string][]byte{}
	for name, i := range safeNames {
		content := slices.Clone(i.safe)
		for _, p := range i.pending {
			if survives() {
				content = p.apply(content)
			}
		}
		out[name] = content
	}
	return out
}

func (o diskOp) apply(content []byte) []byte {
	end := o.off + int64(len(o.data))
	if grow := end - int64(len(content)); grow > 0 {
		content = append(content, make([]byte, grow)...)
	}
	if o.kind == "truncate" {
		return content[:o.off]
	}
	copy(content[o.off:], o.data)
	return content
}

// stateAfter opens what is left and tells whether all of the second import is
// there, none of it, or a part.
func stateAfter(t *testing.T, files map[string][]byte) string {
	t.Helper()
	dir := t.TempDir()
	for name, content := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), content, 0o600))
	}
	path := filepath.Join(dir, "clinic.db")
	db, err := Open(context.Background(), path) // includes the check for damage
	require.NoError(t, err)
	defer db.Close()
	ds := storetest.MustLoad(t, db)
	switch {
	case len(ds.Files) == 1 && len(ds.Cases) == storetest.CrashCases && len(ds.Movements) == storetest.CrashMovements():
		return "none"
	case len(ds.Files) == 2 && len(ds.Cases) == 2*storetest.CrashCases && len(ds.Movements) == 2*storetest.CrashMovements():
		return "all"
	}
	return "part"
}
