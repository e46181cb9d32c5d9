package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/exit"
	"shortfall/cmd/verb"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
)

// TestMain lets the test binary stand in for the program, for tests that need
// a process of their own.
func TestMain(m *testing.M) {
	if os.Getenv("SHORTFALL_TEST_IS_PROGRAM") == "1" {
		main()
		return
	}
	debug.SetGCPercent(400) // what the tests in one process leave behind is a sixth of their time
	os.Exit(m.Run())
}

// large is a spreadsheet that takes a while to read: the rows of the sample
// many times over, each time under other case ids.
func large(t *testing.T, name string, times int) {
	t.Helper()
	sample, err := os.ReadFile("practice.csv")
	require.NoError(t, err)
	lines := strings.SplitAfterN(string(sample), "\n", 3)
	var b bytes.Buffer
	b.WriteString(lines[0] + lines[1])
	for i := range times {
		b.WriteString(strings.ReplaceAll(lines[2], "MQ-", "M"+string(rune('A'+i%26))+string(rune('A'+i/26))+"-"))
	}
	write(t, name, b.String())
}

// atWork is how long a process has had the processor (proc(5), fields 14 and 15, in
// hundredths of a second); 0 where the system does not say.
func atWork(t *testing.T, pid int) time.Duration {
	t.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0
	}
	fields := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+1:]))
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// hasRead is how many bytes a process has read (proc(5), /proc/pid/io); 0 once it has ended.
func hasRead(pid int) (n int64) {
	io, _ := os.ReadFile(fmt.Sprintf("/proc/%d/io", pid))
	_, _ = fmt.Sscanf(string(io), "rchar: %d", &n)
	return n
}

// TestInterruptedProcess sends a real Ctrl-C at several moments: as the sheet is opened, and
// after some work. Before it opens a sheet the program may not have got as far as to wait for
// signals: the system then ends it, and it has nothing to undo.
func TestInterruptedProcess(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes on a large file")
	}
	if runtime.GOOS != "linux" {
		t.Skip("sees by /proc how far a process is")
	}
	temp := workplace(t)
	times, work := 8, 200*time.Millisecond
	if os.Getenv("SHORTFALL_LONG") != "" {
		times, work = 20, 400*time.Millisecond
	}
	large(t, "large.csv", times)
	sheet, err := os.Stat("large.csv")
	require.NoError(t, err)
	before := names(t, ".")
	moments := []time.Duration{0, work}
	if os.Getenv("SHORTFALL_LONG") != "" {
		moments = append(moments, 1600*time.Millisecond)
	}
	for _, after := range moments {
		cmd := exec.Command(os.Args[0], "audit", "large.csv", "--pdf", "audit.pdf", "--json", "results.json")
		cmd.Env = append(os.Environ(), "SHORTFALL_TEST_IS_PROGRAM=1")
		var errs bytes.Buffer
		cmd.Stderr = &errs
		require.NoError(t, cmd.Start())
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		for pid := cmd.Process.Pid; hasRead(pid) < sheet.Size()/2 || atWork(t, pid) < after; time.Sleep(time.Millisecond) {
			require.Empty(t, ended, "over before %v of work: %s", after, &errs)
		}
		require.NoError(t, cmd.Process.Signal(os.Interrupt))
		<-ended
		if code := cmd.ProcessState.ExitCode(); assert.Equal(t, exit.CodeInterrupted, code, "after %v of work: %s", after, &errs) {
			assert.Equal(t, "shortfall: interrupted; nothing was left half written\n", errs.String())
		}
		assert.Equal(t, before, names(t, "."), "no output, whole or half")
		assert.Empty(t, names(t, temp), "no temporary file")
	}
}

// TestInterruptedOnceOutputsStand: Ctrl-C after the outputs got their names ends nothing that
// is not at its end. The run is held there by a pipe that is full, longer than a verb may
// take to end; where the machine is too slow for that the pipe is emptied before, and the
// run ends in the same way.
func TestInterruptedOnceOutputsStand(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("needs a signal and a pipe that holds back")
	}
	temp := workplace(t)
	shell(t, "shortfall ingest --db clinic.db dirty.csv")
	before := names(t, ".")
	ours, childs, err := os.Pipe()
	require.NoError(t, err)
	defer ours.Close()
	require.NoError(t, childs.SetWriteDeadline(time.Now().Add(100*time.Millisecond)))
	filled, err := childs.Write(make([]byte, 1<<20))
	require.ErrorIs(t, err, os.ErrDeadlineExceeded)
	cmd := exec.Command(os.Args[0], "audit", "--db", "clinic.db", "--no-keep", "--pdf", "a.pdf", "--html", "a.html", "--xlsx", "a.xlsx", "--figures", "figures")
	cmd.Env = append(os.Environ(), "SHORTFALL_TEST_IS_PROGRAM=1")
	cmd.Stdout = childs
	var errs bytes.Buffer
	cmd.Stderr = &errs
	require.NoError(t, cmd.Start())
	childs.Close()
	require.Eventually(t, func() bool { _, err := os.Stat("figures"); return err == nil }, 5*time.Minute, time.Millisecond)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	time.Sleep(2 * patience)
	said, err := io.ReadAll(ours)
	require.NoError(t, err)
	_ = cmd.Wait()
	assert.Equal(t, exit.CodeOK, cmd.ProcessState.ExitCode(), "%s", &errs)
	assert.Contains(t, string(said[filled:]), "Written: a.pdf, a.html, a.xlsx and ")
	assert.NotContains(t, errs.String(), "interrupted")
	assert.ElementsMatch(t, append(before, "a.pdf", "a.html", "a.xlsx", "figures"), names(t, "."))
	assert.NotEmpty(t, names(t, "figures"))
	assert.Empty(t, names(t, temp))
}

// cancelling cancels a run as soon as it writes a text.
type cancelling struct {
	bytes.Buffer
	at     string
	cancel context.CancelFunc
}

func (c *cancelling) Write(p []byte) (int, error) {
	if bytes.Contains(p, []byte(c.at)) {
		c.cancel()
	}
	return c.Buffer.Write(p)
}

// TestOutputsStandAllOrNone: interrupted when the last of several outputs was made but none
// has its name, a run has none of them; interrupted right after, all.
func TestOutputsStandAllOrNone(t *testing.T) {
	workplace(t)
	shell(t, "shortfall ingest --db clinic.db dirty.csv")
	before := names(t, ".")
	interrupted := func(at string, args ...string) int {
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		out, errs := &cancelling{at: at, cancel: cancel}, &bytes.Buffer{}
		code := run(ctx, args, strings.NewReader(""), out, errs)
		assert.Error(t, ctx.Err(), "%v never wrote %q: %s", args, at, errs)
		return code
	}
	for _, c := range []struct {
		made string // standard output comes after the others are made, before they are named
		args []string
	}{
		{`"schema_version"`, []string{"audit", "--db", "clinic.db", "--pdf", "a.pdf", "--html", "a.html", "--xlsx", "a.xlsx", "--figures", "figures", "--json", "-", "--no-keep"}},
		{`"dirty.csv"`, []string{"ingest", "--db", "clinic.db", "dirty.csv", "--annotate", "m.xlsx", "--json", "-"}},
	} {
		assert.Equal(t, exit.CodeInterrupted, interrupted(c.made, c.args...), "%v", c.args)
		assert.Equal(t, before, names(t, "."), "%v", c.args)
	}
	assert.Equal(t, exit.CodeOK, interrupted("Written:", "audit", "--db", "clinic.db", "--pdf", "a.pdf", "--xlsx", "a.xlsx", "--no-keep"))
	assert.ElementsMatch(t, append(before, "a.pdf", "a.xlsx"), names(t, "."))
	assert.Equal(t, exit.CodeData, interrupted("Written:", "ingest", "--db", "clinic.db", "dirty.csv", "--annotate", "m.xlsx"), "rows were rejected, and it was not interrupted before its end")
	assert.FileExists(t, "m.xlsx")
}

// TestInterruptedIngestKeepsWholeFiles: the file before the interruption is
// kept, the one during it is not, and a rerun completes the work.
func TestInterruptedIngestKeepsWholeFiles(t *testing.T) {
	workplace(t)
	other, err := os.ReadFile("practice.csv")
	require.NoError(t, err)
	head := strings.Join(strings.SplitAfterN(string(other), "\n", 300)[:299], "")
	write(t, "easterly.csv", strings.NewReplacer("MOONQUAY", "EASTERLY", "MQ-", "EA-").Replace(head))
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var out, errs bytes.Buffer
	a := verb.Program{Read: func(ctx context.Context, path string, o ingest.Options) (*casebook.Batch, error) {
		b, err := ingest.Read(ctx, path, o)
		if path == "easterly.csv" {
			cancel()
		}
		return b, err
	}}
	code := a.Run(ctx, []string{"ingest", "--db", "clinic.db", "dirty.csv", "easterly.csv"}, strings.NewReader(""), &out, &errs)
	assert.Equal(t, exit.CodeInterrupted, code)
	_, listing, _ := shell(t, "shortfall records --db clinic.db")
	assert.Contains(t, listing, "dirty.csv")
	assert.NotContains(t, listing, "easterly.csv")

	code, rerun, _ := shell(t, "shortfall ingest --db clinic.db dirty.csv easterly.csv")
	assert.Equal(t, exit.CodeData, code)
	assert.Contains(t, rerun, "already imported")
	_, listing, _ = shell(t, "shortfall records --db clinic.db")
	assert.Contains(t, listing, "easterly.csv")
}

// TestEarlierVersionIsNamed: a workbook given again, longer, is a later version.
func TestEarlierVersionIsNamed(t *testing.T) {
	workplace(t)
	whole, err := os.ReadFile("dirty.csv")
	require.NoError(t, err)
	lines := bytes.SplitAfter(whole, []byte("\n"))
	require.NoError(t, os.WriteFile("first.csv", bytes.Join(lines[:len(lines)-6], nil), 0o600))
	shell(t, "shortfall ingest --db clinic.db first.csv dirty.csv")
	_, listing, _ := shell(t, "shortfall records --db clinic.db")
	assert.Contains(t, listing, "later version: dirty.csv (sha256 ")
	shell(t, "shortfall audit --db clinic.db --json results.json")
	results, err := os.ReadFile("results.json")
	require.NoError(t, err)
	assert.Contains(t, string(results), `"earlier_versions": 1`)
}

// TestPanicIsCaught: exit code 5, no value of the data printed, nothing left.
func TestPanicIsCaught(t *testing.T) {
	temp := workplace(t)
	before := names(t, ".")
	var out, errs bytes.Buffer
	a := verb.Program{Read: func(context.Context, string, ingest.Options) (*casebook.Batch, error) {
		panic("the cell of a patient")
	}}
	assert.Equal(t, exit.CodeInternal, a.Run(context.Background(), []string{"audit", "practice.xlsx", "--pdf", "audit.pdf"}, strings.NewReader(""), &out, &errs))
	assert.Contains(t, errs.String(), "internal error")
	assert.NotContains(t, errs.String(), "patient")
	assert.Empty(t, out.String())
	assert.Equal(t, before, names(t, "."))
	assert.Empty(t, names(t, temp))
}

// TestAuditLeavesNoDatabase and nothing else but what was asked for.
func TestAuditLeavesNoDatabase(t *testing.T) {
	temp := workplace(t)
	before := names(t, ".")
	code, _, stderr := shell(t, "shortfall audit small.xlsx --json results.json")
	require.Equal(t, exit.CodeOK, code, stderr)
	assert.ElementsMatch(t, append(before, "results.json"), names(t, "."))
	assert.Empty(t, names(t, temp))
}

// TestQuiet: nothing is printed by any verb that succeeds.
func TestQuiet(t *testing.T) {
	workplace(t)
	for _, line := range []string{
		"shortfall template -q -o cases.xlsx",
		"shortfall ingest -q --db clinic.db small.xlsx",
		"shortfall audit -q --db clinic.db --json results.json --xlsx tables.xlsx",
		"shortfall audit -q small.xlsx --pdf csv.pdf",
		"shortfall replay -q results.json --pdf again.pdf",
	} {
		code, stdout, stderr := shell(t, line)
		assert.Equal(t, exit.CodeOK, code, "%s: %s", line, stderr)
		assert.Empty(t, stdout, line)
		assert.Empty(t, stderr, line)
	}
}

// TestSameInputSameBytes over every output, from files and from a replay.
func TestSameInputSameBytes(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG; everyday it is tried of audit and report by themselves (TestSameInputSameBytes, TestSameResultsSameBytes)")
	}
	workplace(t)
	for _, n := range []string{"1", "2"} {
		code, _, stderr := shell(t, "shortfall audit small.xlsx --pdf "+n+".pdf --json "+n+".json --xlsx "+n+".xlsx")
		require.Equal(t, exit.CodeOK, code, stderr)
	}
	code, _, stderr := shell(t, "shortfall replay 1.json --pdf 3.pdf --xlsx 3.xlsx --json 3.json")
	require.Equal(t, exit.CodeOK, code, stderr)
	for _, kind := range []string{".pdf", ".json", ".xlsx"} {
		first, err := os.ReadFile("1" + kind)
		require.NoError(t, err)
		for _, n := range []string{"2", "3"} {
			again, err := os.ReadFile(n + kind)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(first, again), "%s differs from 1%s", n+kind, kind)
		}
	}
}

// TestResultsOnStandardOutput: with --json - the output is JSON and no more.
func TestResultsOnStandardOutput(t *testing.T) {
	workplace(t)
	code, stdout, stderr := shell(t, "shortfall audit small.xlsx --json -")
	require.Equal(t, exit.CodeOK, code, stderr)
	assert.True(t, strings.HasPrefix(stdout, "{"))
	assert.Contains(t, stderr, "Audited:")
	code, _, stderr = shell(t, "shortfall audit small.xlsx --json results.json")
	require.Equal(t, exit.CodeOK, code, stderr)
	file, err := os.ReadFile("results.json")
	require.NoError(t, err)
	assert.Equal(t, string(file), stdout)
}
