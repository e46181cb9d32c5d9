package page

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/page/guard"
	"shortfall/report/web/webtest"
)

// route is one that the page answers, as its source registers it.
type route struct{ method, path string }

// routes reads them from the source, so that none is forgotten here.
func routes(t *testing.T) (out []route) {
	t.Helper()
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	registered := regexp.MustCompile(`\bon\("(GET|POST) ([^"]+)"`)
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, m := range registered.FindAllStringSubmatch(string(b), -1) {
			out = append(out, route{m[1], strings.TrimSuffix(m[2], "{$}")})
		}
	}
	require.Greater(t, len(out), 25)
	return out
}

// filled puts values in place of the wildcards of a route.
func (r route) filled(practice, other string) string {
	path := strings.ReplaceAll(r.path, "/p/{practice}", practice)
	return regexp.MustCompile(`\{[a-z]+\}`).ReplaceAllString(path, url.PathEscape(other))
}

// Nothing is answered without the cookie, whatever the address, and nothing that
// changes something without the page's own origin.
func TestEveryRouteIsGuarded(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	for _, r := range routes(t) {
		path := r.filled(p, "1")
		assert.Equal(t, 403, w.asks(r.method, path, http.Header{"Origin": {w.base}}, false).StatusCode, "%s %s without the cookie", r.method, path)
		assert.Equal(t, 403, w.asks(r.method, path, http.Header{"Origin": {"https://clinic.example"}}, true).StatusCode, "%s %s from another site", r.method, path)
		assert.Equal(t, 403, w.asks(r.method, path, http.Header{"Host": {"clinic.example:" + port(w)}, "Origin": {"http://clinic.example:" + port(w)}}, true).StatusCode, "%s %s by rebinding", r.method, path)
		if r.method == "POST" {
			assert.Equal(t, 403, w.asks("POST", path, nil, true).StatusCode, "%s %s without an origin", r.method, path)
			got := w.asks("GET", path, nil, true)
			assert.True(t, got.StatusCode == 404 || got.StatusCode == 405 || got.StatusCode == 200 && path == p+"/cycle", "GET %s changes nothing: %d", path, got.StatusCode)
		}
	}
}

// odd values of fields and of parts of addresses: none breaks the page, none leads to
// a file, and none comes back as mark-up.
var odd = []string{
	"", "-1", "0", "99999999999999999999", "1e308", "NaN", "../../../../etc/passwd", "..\\..\\x", "/etc/passwd", "a\x00b", "\r\nSet-Cookie: x=1",
	"<script>alert(1)</script>", "'\"><img src=x onerror=alert(1)>", "%2e%2e%2f", strings.Repeat("9", 2000), "\xff\xfe", "javascript:alert(1)", "2026Q9", "2026-13",
}

// fields that forms and addresses of the page have, read from its templates and source.
func fields(t *testing.T) (out []string) {
	t.Helper()
	seen := map[string]bool{}
	name := regexp.MustCompile(`(?:name="|(?:FormValue|\.Get)\(")([a-z][a-z -]*)"`)
	for _, pattern := range []string{"*.go", "templates/*.html"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, f := range files {
			b, err := os.ReadFile(f)
			require.NoError(t, err)
			for _, m := range name.FindAllStringSubmatch(string(b), -1) {
				if !seen[m[1]] && !strings.HasSuffix(f, "_test.go") {
					seen[m[1]] = true
					out = append(out, m[1])
				}
			}
		}
	}
	require.Greater(t, len(out), 15)
	return out
}

// Every route is given each odd value; everyday a third of them, another third than the next route.
func TestOddValuesBreakNothing(t *testing.T) {
	t.Parallel()
	w := openInvented(t)
	p := w.begin("east")
	_, at := w.give(p, file{"own.csv", openSheet})
	w.until(at, "What the file leaves open")
	names := fields(t)
	for k, r := range routes(t) {
		if r.path == "/gone" || r.path == "/p/{practice}/read/{sheet}/away" {
			continue // they end what the others ask about
		}
		for i, value := range odd {
			if !webtest.Long() && (i+k)%12 != 0 {
				continue
			}
			v := url.Values{}
			for k, name := range names {
				v.Set(name, odd[(i+k)%len(odd)])
				if k%3 == 0 {
					v.Set(name, value)
				}
			}
			for _, path := range []string{r.filled(p, "1"), r.filled(p, value)} {
				var page string
				var status int
				if r.method == "POST" {
					page, status, _ = w.send("POST", path, "application/x-www-form-urlencoded", strings.NewReader(v.Encode()))
				} else {
					page, status, _ = w.send("GET", path+"?"+few(v), "", nil)
				}
				what := fmt.Sprintf("%s %s with %q: %d", r.method, path, value, status)
				assert.Less(t, status, 500, what)
				assert.NotContains(t, page, "internal error", what)
				assert.NotContains(t, page, "<script>alert", what)
				assert.NotContains(t, page, "<img src=x", what)
				assert.NotContains(t, page, "root:x:", what)
			}
		}
	}
	assert.Empty(t, w.said.String(), "no handler broke down")
	entries, err := os.ReadDir(w.home.Folder())
	require.NoError(t, err)
	for _, e := range entries {
		assert.NotContains(t, e.Name(), "passwd")
	}
}

// few keeps an address below what the guard lets through.
func few(v url.Values) string {
	for name, values := range v {
		if len(values[0]) > 100 {
			v.Set(name, values[0][:100])
		}
	}
	s := v.Encode()
	return s[:min(len(s), guard.MostQuery-1)]
}

// zero is read without end.
type zero struct{}

func (zero) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// A file is taken where files are sent, and nowhere else: another form fills neither
// memory nor disk.
func TestOnlyOneFormTakesFiles(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	_, err := m.CreateFormFile("window", "large")
	require.NoError(t, err)
	const large = 40 << 20
	zeros := func() io.Reader { return io.LimitReader(zero{}, large) } // never as a whole in memory
	end := "\r\n--" + m.Boundary() + "--\r\n"
	for _, path := range []string{"/here", "/practices", p + "/records/file", p + "/cycle"} {
		r, err := http.NewRequest("POST", w.base+w.root+path, io.MultiReader(bytes.NewReader(b.Bytes()), zeros(), strings.NewReader(end)))
		require.NoError(t, err)
		r.ContentLength = int64(b.Len()) + large + int64(len(end))
		r.Header.Set("Origin", w.base)
		r.Header.Set("Content-Type", m.FormDataContentType())
		if answer, err := w.Do(r); err == nil { // else cut off while it was sent
			answer.Body.Close()
		}
		left, err := os.ReadDir(temp)
		require.NoError(t, err)
		assert.Empty(t, left, path)
	}
	w.see("/")
}

// dialled opens connections by hand.
func (w *window) dialled(n int, write string) (out []net.Conn) {
	w.Helper()
	for range n {
		c, err := net.Dial("tcp", strings.TrimPrefix(w.base, "http://"))
		require.NoError(w, err)
		w.Cleanup(func() { c.Close() })
		_, err = io.WriteString(c, write)
		require.NoError(w, err)
		out = append(out, c)
	}
	return out
}

// Strangers who were refused, or who promise a body that never comes, hold no place: as
// many of them as there are places leave room for the page at once.
func TestStrangersHoldNoPlace(t *testing.T) {
	for name, request := range map[string]string{
		"refused and silent":  "GET / HTTP/1.1\r\nHost: %s\r\n\r\n",
		"a body that is owed": "POST /practices HTTP/1.1\r\nHost: %s\r\nContent-Length: 5000\r\nContent-Type: application/x-www-form-urlencoded\r\n\r\nname=",
	} {
		t.Run(name, func(t *testing.T) {
			w := open(t)
			host := strings.TrimPrefix(w.base, "http://")
			for _, c := range w.dialled(connections, fmt.Sprintf(request, host)) {
				require.NoError(t, c.SetReadDeadline(time.Now().Add(patience)))
				answer, err := http.ReadResponse(bufio.NewReader(c), nil)
				require.NoError(t, err)
				assert.Equal(t, 403, answer.StatusCode)
			}
			start := time.Now()
			w.CloseIdleConnections()
			w.see("/")
			assert.Less(t, time.Since(start), bodyTime/2, "not when the others were cut off")
		})
	}
}

// What a download is called says nothing that its reader could take for more headers.
func TestDownloadsAreNamedByUs(t *testing.T) {
	w := open(t)
	p := w.begin("e'a;s t")
	_, at := w.give(p, file{"x\"; filename=evil.exe\r\nX-Bad: 1.csv", openSheet})
	w.until(at, "What the file leaves open")
	got := w.asks("GET", at+"/marked.xlsx", nil, true)
	assert.Empty(t, got.Header.Get("X-Bad"))
	assert.NotContains(t, got.Header.Get("Content-Disposition"), ".exe\"")
}
