package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pseudoTerminal opens a terminal for a child, and the side on which it is read (pty(7)).
func pseudoTerminal(t *testing.T) (ours, childs *os.File) {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no terminals here: ", err)
	}
	t.Cleanup(func() { ours.Close() })
	control := func(request uintptr, value *int32) {
		_, _, errno := syscall.Syscall(syscall.SYS_IOCTL, ours.Fd(), request, uintptr(unsafe.Pointer(value)))
		require.Zero(t, errno)
	}
	var locked, number int32
	control(syscall.TIOCSPTLCK, &locked)
	control(syscall.TIOCGPTN, &number)
	childs, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	require.NoError(t, err)
	return ours, childs
}

// soon is how fast the first Ctrl-C ends whatever is going on: half a second, and longer by as
// many times as more processes wait than there are processors (proc_loadavg(5)).
func soon() time.Duration {
	var load float64
	if data, err := os.ReadFile("/proc/loadavg"); err == nil {
		fmt.Sscan(string(data), &load)
	}
	return time.Duration(float64(500*time.Millisecond) * max(1, load/float64(runtime.NumCPU())))
}

// The first Ctrl-C ends reading, keeping, auditing and writing soon, and leaves nothing
// behind: the step is read from the line of progress on a terminal of its own.
func TestInterruptedAtEachStep(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG: starts processes on a large file and measures time")
	}
	temp := workplace(t)
	large(t, "large.csv", 8)
	shell(t, "shortfall ingest --db clinic.db large.csv")
	before := names(t, ".")
	for _, c := range []struct {
		step string
		args []string
	}{
		{"reading large", []string{"audit", "large.csv", "--pdf", "audit.pdf"}},
		{"keeping large", []string{"audit", "large.csv", "--pdf", "audit.pdf"}},
		{"loading the records", []string{"audit", "--db", "clinic.db", "--pdf", "audit.pdf"}},
		{"auditing", []string{"audit", "large.csv", "--pdf", "audit.pdf", "--html", "a.html"}},
		{"writing audit.pdf", []string{"audit", "large.csv", "--pdf", "audit.pdf", "--pages", "full"}},
		{"writing t.xlsx", []string{"audit", "large.csv", "--xlsx", "t.xlsx"}},
		{"reading large", []string{"ingest", "--db", "clinic.db", "large.csv", "--annotate", "m.xlsx", "--yes"}},
	} {
		t.Run(c.args[0]+" "+c.step, func(t *testing.T) { interruptedAt(t, c.step, c.args, before, temp) })
	}
}

func interruptedAt(t *testing.T, step string, args, before []string, temp string) {
	ours, childs := pseudoTerminal(t)
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), "SHORTFALL_TEST_IS_PROGRAM=1", "TERM=xterm", "CI=")
	cmd.Stderr = childs
	require.NoError(t, cmd.Start())
	childs.Close()
	seen := make(chan bool, 1)
	var shown bytes.Buffer
	ended := make(chan struct{})
	go func() { // the line of progress is drawn ten times a second once a second is over
		defer close(ended)
		told := false
		for piece := make([]byte, 4096); ; {
			n, err := ours.Read(piece)
			shown.Write(piece[:n])
			if !told && bytes.Contains(shown.Bytes(), []byte(step)) {
				told = true
				seen <- true
			}
			if err != nil {
				return
			}
		}
	}()
	select {
	case <-seen:
	case <-ended:
		_ = cmd.Wait()
		t.Logf("the step was over before it was seen, which is soon enough: %q", shown.String())
		for _, name := range names(t, ".") { // the run went on to its end
			if !slices.Contains(before, name) {
				require.NoError(t, os.Remove(name))
			}
		}
		return
	}
	from := time.Now()
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_ = cmd.Wait()
	took := time.Since(from)
	<-ended
	t.Logf("ended after %v", took.Round(time.Millisecond))
	assert.Less(t, took, soon())
	assert.Equal(t, exit.CodeInterrupted, cmd.ProcessState.ExitCode())
	assert.Contains(t, shown.String(), strings.TrimSpace(exit.InterruptedText))
	assert.Equal(t, before, names(t, "."), "no output, whole or half")
	assert.Empty(t, names(t, temp), "no temporary database")
}
