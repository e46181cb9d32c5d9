package main

import (
	"context"
	"net/http"
	"net/http/cookiejar"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/exit"
	"shortfall/cmd/keep"
)

// lines collects what is printed while a verb goes on.
type lines struct {
	mu sync.Mutex
	b  strings.Builder
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

// address waits for the address that is printed.
func (l *lines) address(t *testing.T) string {
	t.Helper()
	found := regexp.MustCompile(`http://127\.0\.0\.1:[0-9]+/\?key=\S+`)
	for begun := time.Now(); time.Since(begun) < time.Minute; time.Sleep(10 * time.Millisecond) {
		l.mu.Lock()
		a := found.FindString(l.b.String())
		l.mu.Unlock()
		if a != "" {
			return a
		}
	}
	require.Fail(t, "no address", l.b.String())
	return ""
}

// open starts the page and gives what it prints, and its end.
func open(t *testing.T, args ...string) (*lines, func() int) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	out, code := &lines{}, make(chan int, 1)
	go func() { code <- run(ctx, args, strings.NewReader(""), out, out) }()
	return out, func() int { stop(); return <-code }
}

func TestOpen(t *testing.T) {
	workplace(t)
	t.Setenv(keep.Folder, filepath.Join(t.TempDir(), "home"))
	code, _, stderr := shell(t, "shortfall ingest -q --db clinic.db small.xlsx")
	require.Equal(t, exit.CodeOK, code, stderr)
	code, _, stderr = shell(t, "shortfall open --no-browser nothing.db")
	assert.Equal(t, exit.CodeDatabase, code, stderr)
	first, end := open(t, "open", "--no-browser", "clinic.db")
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	browser := http.Client{Jar: jar}
	enter := func(address string) string {
		answer, err := browser.Get(address)
		require.NoError(t, err)
		answer.Body.Close()
		assert.Equal(t, 200, answer.StatusCode)
		assert.Regexp(t, `^/[\w-]{43}/(p/[0-9a-f]{12}/.*)?$`, answer.Request.URL.Path)
		return answer.Request.URL.Path
	}
	enter(first.address(t))
	code, again, stderr := shell(t, "shortfall open --no-browser")
	assert.Equal(t, exit.CodeOK, code, stderr)
	found := regexp.MustCompile(`http://\S+`).FindString(again)
	assert.Equal(t, strings.SplitN(first.address(t), "?", 2)[0], strings.SplitN(found, "?", 2)[0], "a second start finds the page that is open")
	assert.NotEqual(t, first.address(t), found, "with a key of its own")
	enter(found)
	code, _, stderr = shell(t, "shortfall backup --db clinic.db -o other.db")
	require.Equal(t, exit.CodeOK, code, stderr)
	code, again, stderr = shell(t, "shortfall open --no-browser other.db")
	assert.Equal(t, exit.CodeOK, code, stderr)
	assert.Contains(t, enter(regexp.MustCompile(`http://\S+`).FindString(again)), "/p/", "it opens with the database that is named")
	home, err := keep.Open()
	require.NoError(t, err)
	known, err := home.Known()
	require.NoError(t, err)
	whole, err := filepath.Abs("other.db")
	require.NoError(t, err)
	assert.Equal(t, whole, known[0], "which is listed from then on")
	assert.Equal(t, exit.CodeInterrupted, end())
	_, err = browser.Get(found)
	assert.Error(t, err, "it has ended")
}
