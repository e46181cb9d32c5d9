package page

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shortfall/cmd/keep"
)

// TestMain lets garbage stand longer than a program would, which saves time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// patience with what comes in the end: what never comes fails, however busy the machine.
const patience = 5 * time.Minute

// window is a browser without a screen: it holds the cookie and knows the address.
type window struct {
	*testing.T
	http.Client
	base, entry string
	root        string      // path before all addresses, which tests write without it
	announced   chan string // addresses of the next window
	home        *keep.Home
	said        *bytes.Buffer
	over        chan error // what serving ended with
	end         func() error
}

// open starts the page on a new folder and enters it.
func open(t *testing.T) *window {
	t.Helper()
	return openHome(t, testHome(t), Options{})
}

func openHome(t *testing.T, home *keep.Home, o Options) *window {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	entry, over := make(chan string, 1), make(chan error, 1)
	w := &window{T: t, home: home, said: &bytes.Buffer{}, over: over}
	o.Version, o.Home, o.Out = "test", home, w.said
	o.Show = func(a string) { entry <- a }
	o.end = time.Second / 10 // a browser holds connections open that it never uses
	w.announced = make(chan string, 100)
	o.Announce = func(a string) error { w.announced <- a; return nil }
	go func() { over <- Serve(ctx, o) }()
	select {
	case w.entry = <-entry:
	case err := <-over:
		require.NoError(t, err)
	}
	ended := false
	w.end = func() error {
		if ended {
			return nil
		}
		ended = true
		stop()
		return <-over
	}
	t.Cleanup(func() { require.NoError(t, w.end()) })
	u, err := url.Parse(w.entry)
	require.NoError(t, err)
	w.base = u.Scheme + "://" + u.Host
	w.Jar, _ = cookiejar.New(nil)
	w.Timeout = patience
	answer, err := w.Get(w.entry)
	require.NoError(t, err)
	answer.Body.Close()
	require.Equal(t, 200, answer.StatusCode)
	w.root = regexp.MustCompile(`^/[\w-]{43}`).FindString(answer.Request.URL.Path)
	require.NotEmpty(t, w.root)
	return w
}

// send makes a request and gives the page, its status and its final address, both
// without the root.
func (w *window) send(method, to, kind string, body io.Reader) (string, int, string) {
	w.Helper()
	if strings.HasPrefix(to, "/") {
		to = w.base + w.root + to
	}
	r, err := http.NewRequestWithContext(w.Context(), method, to, body)
	require.NoError(w, err)
	if method != http.MethodGet {
		r.Header.Set("Origin", w.base)
		r.Header.Set("Content-Type", kind)
	}
	answer, err := w.Do(r)
	require.NoError(w, err)
	defer answer.Body.Close()
	b, err := io.ReadAll(answer.Body)
	require.NoError(w, err)
	return strings.ReplaceAll(string(b), w.root, ""), answer.StatusCode, strings.TrimPrefix(answer.Request.URL.Path, w.root)
}

func (w *window) get(to string) (string, int) {
	w.Helper()
	page, status, _ := w.send(http.MethodGet, to, "", nil)
	return page, status
}

// see gets a page that must be there.
func (w *window) see(to string) string {
	w.Helper()
	page, status := w.get(to)
	require.Equal(w, 200, status, page)
	return page
}

// post sends a form and gives where it led.
func (w *window) post(to string, pairs ...string) (page, at string) {
	w.Helper()
	v := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	page, status, at := w.send(http.MethodPost, to, "application/x-www-form-urlencoded", strings.NewReader(v.Encode()))
	require.Equal(w, 200, status, page)
	return page, at
}

// file is one to upload.
type file struct{ name, text string }

func form(t *testing.T, files ...file) (string, io.Reader) {
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for _, f := range files {
		p, err := m.CreateFormFile("files", f.name)
		require.NoError(t, err)
		_, err = p.Write([]byte(f.text))
		require.NoError(t, err)
	}
	require.NoError(t, m.Close())
	return m.FormDataContentType(), &b
}

// begin makes a practice and gives its path.
func (w *window) begin(name string) string {
	w.Helper()
	_, at := w.post("/practices", "name", name)
	require.Regexp(w, `^/p/[0-9a-f]{12}/read$`, at)
	return strings.TrimSuffix(at, "/read")
}

// give uploads files and gives where that led.
func (w *window) give(practice string, files ...file) (page, at string) {
	w.Helper()
	kind, body := form(w.T, files...)
	page, status, at := w.send(http.MethodPost, practice+"/files", kind, body)
	require.Equal(w, 200, status, page)
	return page, at
}

// keeps uploads a file with signs and without a legend, says that they are the usual ones,
// and keeps its records; it gives where the file lies.
func (w *window) keeps(practice string, f file) (at string) {
	w.Helper()
	_, at = w.give(practice, f)
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	return at
}

// pause between two looks, longer with each: most of what is waited for comes at once.
func pause(n int) int {
	time.Sleep(min(50*time.Millisecond, time.Millisecond<<n))
	return min(n+1, 6)
}

// until asks for a page until it holds what is wanted.
func (w *window) until(to, want string) string {
	w.Helper()
	for begun, n := time.Now(), 0; time.Since(begun) < patience; n = pause(n) {
		if page := w.see(to); strings.Contains(page, want) {
			return page
		}
	}
	require.Fail(w, "never came", "%s at %s", want, to)
	return ""
}

func testHome(t *testing.T) *keep.Home {
	t.Helper()
	h, err := keep.At(filepath.Join(t.TempDir(), "home"))
	require.NoError(t, err)
	return h
}

const openSheet = "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,-8,none\nK1,2,44,torque,5,4,software\n"
