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
	assert.Eventually(t, func() bool { return strings.Contains(w.String(), "reading cases.xlsx, 0 s") }, 5*time.Second, 10*time.Millisecond)
	p.End()
	p.End()
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
