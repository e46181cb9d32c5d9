package console

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"github.com/mattn/go-isatty"

	"shortfall/cmd/job/left"
)

// Progress shows on a terminal what a slow step is at, and how long it still takes
// where that can be told. It is silent for the first second, and altogether where
// standard error is no terminal, with --quiet, with TERM=dumb and where CI is set.
type Progress struct {
	w      io.Writer // nil: silent
	start  time.Time
	stop   chan struct{}
	wait   sync.WaitGroup
	notice time.Duration

	mu        sync.Mutex
	step      string
	parts     string // what is counted, "" for hundredths
	done, all int
	since     time.Time // when the step began
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
					fmt.Fprint(p.w, clearLine+oneLine+p.line(waited)+wrapped)
					p.mu.Unlock()
					drawn = true
				}
			}
		}
	})
}

// stepWidth and narrowScreen keep the end of the line on a terminal of the usual width.
const (
	stepWidth    = 40
	narrowScreen = 79
)

// line is what stands there after a time; the caller holds the lock. Where it grows too
// long what is counted is said in hundredths.
func (p *Progress) line(waited time.Duration) string {
	end := fmt.Sprintf(", %d s", int(waited.Seconds()))
	if still := left.Counted(time.Since(p.since), p.done, p.all); still != "" {
		end += ", " + still
	}
	if p.all <= 0 {
		return p.step + end
	}
	line := fmt.Sprintf("%s, %s %d of %d%s", p.step, p.parts, p.done, p.all, end)
	if p.parts == "" || utf8.RuneCountInString(line) > narrowScreen {
		line = fmt.Sprintf("%s, %d %%%s", p.step, 100*p.done/p.all, end)
	}
	return line
}

// clearLine returns to the first column and erases the line (ECMA-48, EL). Between oneLine and
// wrapped a terminal cuts what is wider than it is (xterm control sequences, DECAWM): what
// went on in a second line could not be erased.
const (
	clearLine = "\r\x1b[K"
	oneLine   = "\x1b[?7l"
	wrapped   = "\x1b[?7h"
)

// At names the step that begins.
func (p *Progress) At(format string, args ...any) { p.Of("", 0, 0, format, args...) }

// Of says how far a step is, the one that is under way or one that begins: done of all
// parts, counted under their name or, where that is "", in hundredths.
func (p *Progress) Of(parts string, done, all int, format string, args ...any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	var shown strings.Builder
	fmt.Fprintf(&Visible{w: &shown}, format, args...)
	name := []rune(shown.String())
	step := string(name[:min(len(name), stepWidth)])
	if step != p.step || done < p.done && parts != "" {
		p.since = time.Now()
	}
	p.step, p.parts, p.done, p.all = step, parts, done, all
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
