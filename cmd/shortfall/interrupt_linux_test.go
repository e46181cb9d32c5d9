package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"runtime"
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

// soon is how much work the first Ctrl-C leaves, whatever is going on: half a second of every
// processor. Work and not time: a busy machine does less of it in the same time.
var soon = time.Duration(runtime.GOMAXPROCS(0)) * 500 * time.Millisecond

// The first Ctrl-C ends reading, keeping, auditing and writing soon, and leaves nothing
// behind: the step is read from the line of progress on a terminal of its own.
func TestInterruptedAtEachStep(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG: starts processes on a large file")
	}
	temp := workplace(t)
	large(t, "large.csv", 8)
	shell(t, "shortfall ingest --db clinic.db large.csv")
	for _, c := range []struct {
		step    string
		args    []string
		outputs []string
	}{
		{"reading large", []string{"audit", "large.csv", "--pdf", "audit.pdf"}, []string{"audit.pdf"}},
		{"keeping large", []string{"audit", "large.csv", "--pdf", "audit.pdf"}, []string{"audit.pdf"}},
		{"loading the records", []string{"audit", "--db", "clinic.db", "--pdf", "audit.pdf"}, []string{"audit.pdf"}},
		{"auditing", []string{"audit", "large.csv", "--pdf", "audit.pdf", "--html", "a.html"}, []string{"audit.pdf", "a.html"}},
		{"writing audit.pdf", []string{"audit", "large.csv", "--pdf", "audit.pdf", "--pages", "full"}, []string{"audit.pdf"}},
		{"writing t.xlsx", []string{"audit", "large.csv", "--xlsx", "t.xlsx"}, []string{"t.xlsx"}},
		{"reading large", []string{"ingest", "--db", "clinic.db", "large.csv", "--annotate", "m.xlsx", "--yes"}, []string{"m.xlsx"}},
	} {
		t.Run(c.args[0]+" "+c.step, func(t *testing.T) { interruptedAt(t, c.step, c.args, c.outputs, temp) })
	}
}

func interruptedAt(t *testing.T, step string, args, outputs []string, temp string) {
	before := names(t, ".")
	defer func() { // the next one finds the folder as this one did
		for _, name := range outputs {
			_ = os.Remove(name)
		}
	}()
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
		return
	}
	worked := atWork(t, cmd.Process.Pid)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_ = cmd.Wait()
	worked = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime() - worked
	<-ended
	t.Logf("ended after %v of work", worked.Round(time.Millisecond))
	assert.Less(t, worked, soon)
	assert.Empty(t, names(t, temp), "no temporary file")
	if cmd.ProcessState.ExitCode() == exit.CodeOK { // the outputs stood when it was interrupted
		for _, name := range outputs {
			assert.FileExists(t, name)
		}
		return
	}
	assert.Equal(t, exit.CodeInterrupted, cmd.ProcessState.ExitCode())
	assert.Contains(t, shown.String(), strings.TrimSpace(exit.InterruptedText))
	assert.Equal(t, before, names(t, "."), "no output, whole or half")
}
