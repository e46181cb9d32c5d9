package console

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/mattn/go-isatty"
)

// Progress shows on a terminal what a slow step is at. It is silent for the
// first second, and altogether where standard error is no terminal, with
// --quiet, with TERM=dumb and where CI is set.
type Progress struct {
	w      io.Writer // nil: silent
	start  time.Time
	stop   chan struct{}
	wait   sync.WaitGroup
	mu     sync.Mutex
	step   string
	notice time.Duration
}

// NewProgress begins the step-by-step line of a run on what people read of errors.
func NewProgress(errs io.Writer, quiet bool) *Progress {
	p := &Progress{start: time.Now(), notice: time.Second}
	if !shows(IsTerminal(errs), quiet, os.Getenv) {
		return p
	}
	p.w, _ = terminal(errs) // past the writer of text: the line is redrawn by control characters
	p.run()
	return p
}

// shows decides whether progress is wanted.
func shows(terminal, quiet bool, env func(string) string) bool {
	return terminal && !quiet && env("TERM") != "dumb" && env("CI") == ""
}

// IsTerminal is true of a terminal, behind a Visible too.
func IsTerminal(w io.Writer) bool {
	f, ok := terminal(w)
	return ok && (isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd()))
}

// run redraws the line ten times a second until end is called.
func (p *Progress) run() {
	p.stop = make(chan struct{})
	p.wait.Go(func() {
		tick := time.NewTicker(100 * time.Millisecond)
		defer tick.Stop()
		for drawn := false; ; {
			select {
			case <-p.stop:
				if drawn {
					fmt.Fprint(p.w, clearLine)
				}
				return
			case <-tick.C:
				if waited := time.Since(p.start); waited >= p.notice {
					p.mu.Lock()
					fmt.Fprintf(p.w, "%s%s, %d s", clearLine, p.step, int(waited.Seconds()))
					p.mu.Unlock()
					drawn = true
				}
			}
		}
	})
}

// stepWidth keeps the line from wrapping on a narrow terminal, where it could
// not be erased.
const stepWidth = 70

// clearLine returns to the first column and erases the line (ECMA-48, EL).
const clearLine = "\r\x1b[K"

// At names the step that begins.
func (p *Progress) At(format string, args ...any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	var shown strings.Builder
	fmt.Fprintf(&Visible{w: &shown}, format, args...)
	step := []rune(shown.String())
	p.step = string(step[:min(len(step), stepWidth)])
}

// Clear takes the line away while what prints.
func (p *Progress) Clear(what func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w != nil {
		fmt.Fprint(p.w, clearLine)
	}
	what()
}

// End removes the line; it may be called more than once.
func (p *Progress) End() {
	if p.w != nil && p.stop != nil {
		close(p.stop)
		p.wait.Wait()
		p.stop = nil
	}
}
