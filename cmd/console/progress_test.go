package console

import (
	"bytes"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// locked lets the test read what another goroutine writes.
type locked struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *locked) Write(p []byte) (int, error) { l.mu.Lock(); defer l.mu.Unlock(); return l.b.Write(p) }

func (l *locked) String() string { l.mu.Lock(); defer l.mu.Unlock(); return l.b.String() }

func TestProgressShowsTheStepAndClearsItsLine(t *testing.T) {
	var w locked
	p := &Progress{w: &w, start: time.Now()} // no waiting
	p.At("reading %s", "cases.xlsx")
	p.run()
	assert.Eventually(t, func() bool { return strings.Contains(w.String(), "reading cases.xlsx, 0 s"+wrapped) }, time.Minute, 10*time.Millisecond)
	p.End()
	p.End()
	assert.Contains(t, w.String(), clearLine+oneLine+"reading", "a narrow terminal does not begin a second line")
	assert.True(t, strings.HasSuffix(w.String(), clearLine), "the line is erased at the end")
}

func TestProgressIsSilentForASecond(t *testing.T) {
	var w locked
	p := &Progress{w: &w, start: time.Now(), notice: time.Hour}
	p.run()
	time.Sleep(250 * time.Millisecond)
	p.End()
	assert.Empty(t, w.String())
}

func TestProgressNeedsATerminal(t *testing.T) {
	var w locked
	p := NewProgress(&w, false)
	p.At("reading")
	p.End()
	assert.Nil(t, p.w)
}

func TestWhenProgressShows(t *testing.T) {
	for _, c := range []struct {
		name            string
		quiet, terminal bool
		env             map[string]string
		want            bool
	}{
		{"a terminal", false, true, map[string]string{"TERM": "xterm"}, true},
		{"a pipe", false, false, nil, false},
		{"quiet", true, true, nil, false},
		{"a dumb terminal", false, true, map[string]string{"TERM": "dumb"}, false},
		{"continuous integration", false, true, map[string]string{"CI": "true"}, false},
	} {
		assert.Equal(t, c.want, shows(c.terminal, c.quiet, func(k string) string { return c.env[k] }), c.name)
	}
}

// How far a step is, and how long it still takes once it has taken two seconds, on a
// line that fits a narrow screen.
func TestProgressTellsTimeLeft(t *testing.T) {
	p := &Progress{}
	p.Of("row", 0, 204317, "reading large.csv (1 of 1)")
	p.since = time.Now().Add(-4900 * time.Millisecond)
	p.Of("row", 102159, 204317, "reading large.csv (1 of 1)")
	assert.Equal(t, "reading large.csv (1 of 1), row 102159 of 204317, 5 s, about 5 seconds left", p.line(5*time.Second+time.Millisecond))
	p.Of("", 250, 1000, "auditing 204317 movements")
	assert.Equal(t, "auditing 204317 movements, 25 %, 1 s", p.line(time.Second), "it has only begun")
	p.since = time.Now().Add(-9900 * time.Millisecond)
	assert.Equal(t, "auditing 204317 movements, 25 %, 10 s, about 30 seconds left", p.line(10*time.Second))
	p.At("writing a.pdf")
	assert.Equal(t, "writing a.pdf, 11 s", p.line(11*time.Second))
	p.Of("row", 5_000_000, 10_000_000, "reading %s (12 of 12)", strings.Repeat("x", 100))
	p.since = time.Now().Add(-time.Hour)
	line := p.line(2 * time.Hour)
	assert.LessOrEqual(t, len(line), narrowScreen, line)
	assert.Contains(t, line, "50 %")
	assert.Contains(t, line, "left")
}
