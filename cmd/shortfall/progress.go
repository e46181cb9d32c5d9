package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/mattn/go-isatty"
)

// progress shows on a terminal what a slow step is at. It is silent for the
// first second, and altogether where standard error is no terminal, with
// --quiet, with TERM=dumb and where CI is set.
type progress struct {
	w      io.Writer // nil: silent
	start  time.Time
	stop   chan struct{}
	wait   sync.WaitGroup
	mu     sync.Mutex
	step   string
	notice time.Duration
}

func (a *app) progress() *progress {
	p := &progress{start: time.Now(), notice: time.Second}
	if !a.shows(isTerminal(a.err), os.Getenv) {
		return p
	}
	p.w, _ = terminal(a.err) // past the writer of text: the line is redrawn by control characters
	p.run()
	return p
}

// shows decides whether progress is wanted.
func (a *app) shows(terminal bool, env func(string) string) bool {
	return terminal && !a.quiet && env("TERM") != "dumb" && env("CI") == ""
}

func isTerminal(w io.Writer) bool {
	f, ok := terminal(w)
	return ok && (isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd()))
}

// run redraws the line ten times a second until end is called.
func (p *progress) run() {
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

// at names the step that begins.
func (p *progress) at(format string, args ...any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	var shown strings.Builder
	fmt.Fprintf(&visible{w: &shown}, format, args...)
	step := []rune(shown.String())
	p.step = string(step[:min(len(step), stepWidth)])
}

// clear takes the line away while what prints.
func (p *progress) clear(what func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w != nil {
		fmt.Fprint(p.w, clearLine)
	}
	what()
}

// end removes the line; it may be called more than once.
func (p *progress) end() {
	if p.w != nil && p.stop != nil {
		close(p.stop)
		p.wait.Wait()
		p.stop = nil
	}
}
