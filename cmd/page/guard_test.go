package page

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/page/guard"
	"shortfall/ingest/store/sqlite"
	"shortfall/report/web"
	"shortfall/report/web/webtest"
)

// asks makes a request by hand: what a browser would not let a page say.
func (w *window) asks(method, path string, header http.Header, cookie bool) *http.Response {
	w.Helper()
	if !strings.HasPrefix(path, "/?key=") {
		path = w.root + path
	}
	return w.asksAt(method, path, header, cookie)
}

// asksAt does so at an address that is not put under the root.
func (w *window) asksAt(method, path string, header http.Header, cookie bool) *http.Response {
	w.Helper()
	r, err := http.NewRequestWithContext(w.Context(), method, w.base+path, nil)
	require.NoError(w, err)
	for k := range header {
		r.Header.Set(k, header.Get(k))
	}
	if host := header.Get("Host"); host != "" {
		r.Host = host
	}
	c := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	if cookie {
		c.Jar = w.Jar
	}
	answer, err := c.Do(r)
	require.NoError(w, err)
	_, _ = io.Copy(io.Discard, answer.Body)
	answer.Body.Close()
	return answer
}

func TestOnlyThePageItselfIsAnswered(t *testing.T) {
	w := open(t)
	own := w.base
	h := func(pairs ...string) http.Header {
		out := http.Header{}
		for i := 0; i < len(pairs); i += 2 {
			out.Set(pairs[i], pairs[i+1])
		}
		return out
	}
	for _, c := range []struct {
		what, method, path string
		header             http.Header
		cookie             bool
		want               int
	}{
		{"the page itself", "GET", "/", nil, true, 200},
		{"a form of the page", "POST", "/practices", h("Origin", own), true, 400}, // no name: understood and refused
		{"no cookie", "GET", "/", nil, false, 403},
		{"an asset without the cookie", "GET", "/assets/page.css", nil, false, 403},
		{"another key", "GET", "/?key=" + guard.Secret(), nil, false, 403},
		{"an empty key", "GET", "/?key=", nil, false, 403},
		{"a name that leads here (rebinding)", "GET", "/", h("Host", "clinic.example"), true, 403},
		{"the same with the port", "GET", "/", h("Host", "clinic.example:"+port(w)), true, 403},
		{"another port", "GET", "/", h("Host", "127.0.0.1:1"), true, 403},
		{"a form of another site", "POST", "/practices", h("Origin", "https://clinic.example"), true, 403},
		{"a form of another program here", "POST", "/practices", h("Origin", "http://127.0.0.1:1"), true, 403},
		{"a form of a file", "POST", "/practices", h("Origin", "null"), true, 403},
		{"a form without origin", "POST", "/practices", nil, true, 403},
		{"a link of another site", "GET", "/", h("Sec-Fetch-Site", "cross-site"), true, 403},
		{"a frame of another program here", "GET", "/", h("Sec-Fetch-Site", "same-site"), true, 403},
		{"a method of its own", "DELETE", "/", h("Origin", own), true, 404},
		{"a method from elsewhere", "PUT", "/", h("Origin", "https://clinic.example"), true, 403},
		{"up the folders", "GET", "/assets/..%2f..%2f..%2fetc%2fpasswd", nil, true, 404},
		{"a folder", "GET", "/assets/", nil, true, 404},
		{"templates are no assets", "GET", "/assets/frame.html", nil, true, 404},
		{"a practice by its path", "GET", "/p/..%2f..%2fclinic.db/read", nil, true, 404},
		{"a practice that is none", "GET", "/p/000000000000/read", nil, true, 404},
		{"a long address", "GET", "/?x=" + strings.Repeat("y", 5000), nil, true, 400},
	} {
		assert.Equal(t, c.want, w.asks(c.method, c.path, c.header, c.cookie).StatusCode, c.what)
	}
	cookie := h("Cookie", w.cookie())
	assert.Equal(t, 200, w.asksAt("GET", w.root+"/", cookie, false).StatusCode)
	for _, path := range []string{"/", "/assets/page.js", "/" + guard.Secret() + "/", w.root, strings.ToLower(w.root) + "/", w.root + "x/", "/x" + w.root + "/"} {
		assert.Equal(t, 403, w.asksAt("GET", path, cookie, false).StatusCode, "the cookie at %s", path)
	}
}

func port(w *window) string {
	u, err := url.Parse(w.base)
	require.NoError(w, err)
	return u.Port()
}

func TestEveryAnswerForbidsWhatIsNotOurs(t *testing.T) {
	w := open(t)
	for _, path := range []string{"/", "/nothing", "/assets/page.js"} {
		got := w.asks("GET", path, nil, true).Header
		assert.Contains(t, got.Get("Content-Security-Policy"), "default-src 'none'; script-src 'self'; style-src 'self';")
		assert.NotContains(t, got.Get("Content-Security-Policy"), "unsafe")
		assert.Equal(t, "nosniff", got.Get("X-Content-Type-Options"))
		assert.Equal(t, "no-store", got.Get("Cache-Control"))
		assert.Empty(t, got.Get("Access-Control-Allow-Origin"))
	}
	<-w.announced // used by the window that was opened
	for _, at := range []string{"https://clinic.example/", "//clinic.example", "/p/x/", `/\clinic.example`} {
		got := w.asks("GET", strings.TrimPrefix(<-w.announced, w.base)+"&at="+url.QueryEscape(at), nil, false)
		assert.Equal(t, w.root+"/", got.Header.Get("Location"), "it leads nowhere else")
	}
}

// A key lets one window in; what it is changed for is out of reach of scripts and of
// other sites' requests.
func TestKeyServesOnce(t *testing.T) {
	w := open(t)
	path := func(address string) string { return strings.TrimPrefix(address, w.base) }
	assert.Equal(t, 403, w.asks("GET", path(w.entry), nil, false).StatusCode, "used by the window that was opened")
	first := <-w.announced
	assert.Equal(t, w.entry, first)
	next := <-w.announced
	entered := w.asks("GET", path(next), nil, false)
	assert.Equal(t, 303, entered.StatusCode)
	assert.Equal(t, w.root+"/", entered.Header.Get("Location"))
	cookie := entered.Header.Get("Set-Cookie")
	assert.Contains(t, cookie, "HttpOnly")
	assert.Contains(t, cookie, "SameSite=Strict")
	assert.NotContains(t, cookie, strings.SplitN(next, "key=", 2)[1], "the cookie is not the key of the address")
	assert.Equal(t, 403, w.asks("GET", path(next), nil, false).StatusCode)
	assert.Contains(t, cookie, "Path="+w.root+"/;", "no other port is sent it, nor another path")
	assert.NotContains(t, next, w.root, "who sees the address of a program that was started does not know the path")
}

// No page holds a script, a style or a handler of its own, which the policy forbids.
func TestNothingInline(t *testing.T) {
	entries, err := templateFiles.ReadDir("templates")
	require.NoError(t, err)
	for _, e := range entries {
		b, err := templateFiles.ReadFile("templates/" + e.Name())
		require.NoError(t, err)
		assert.NotRegexp(t, `(?i)<style|\sstyle=|<script[^>]*>[^<]|\son[a-z]+=|javascript:|https?://`, string(b), e.Name())
	}
}

func TestTheBundleIsSmall(t *testing.T) {
	size := 0
	for _, dir := range []string{"assets", "templates"} {
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		for _, e := range entries {
			info, err := e.Info()
			require.NoError(t, err)
			size += int(info.Size())
		}
	}
	assert.Less(t, size+len(web.Style), 300_000)
}

// A workbook whose cells, headers and name hold markup shows it as text.
func TestMarkupInCellsIsText(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	evil := `<img src=x onerror=alert(1)>`
	sheet := "patient,course,tooth,movement,planned,achieved,attachment\n" +
		`"` + evil + `",1,43,rotation,-10,-8,none` + "\n" + `K2,1,"<script>alert(2)</script>",rotation,5,4,none` + "\n"
	_, at := w.give(p, file{`<b>own</b>.csv`, sheet}, file{"../../../etc/passwd.csv", openSheet}, file{`..\..\evil.csv`, openSheet})
	for _, path := range []string{p + "/read", p + "/read/1", p + "/read/2", p + "/read/3", at} {
		page := w.until(path, "<main")
		assert.NotContains(t, page, "<img")
		assert.NotContains(t, page, "<script>")
		assert.NotContains(t, page, "<b>own")
	}
	assert.NoFileExists(t, w.home.Folder()+"/passwd.csv")
}

// Many requests at once leave it answering.
func TestManyRequests(t *testing.T) {
	each := 15
	switch {
	case os.Getenv("SHORTFALL_LONG") != "":
		each = 250
	case testing.Short(): // under the race detector, for which it is made
		each = 10
	}
	w := open(t)
	p := w.begin("east")
	var wg sync.WaitGroup
	for range 40 {
		wg.Go(func() {
			for i := range each {
				path := []string{"/", p + "/read", "/assets/page.js", "/nothing"}[i%4]
				if code := w.asks("GET", path, nil, true).StatusCode; code != 200 && code != 404 {
					t.Errorf("%s: %d", path, code)
				}
			}
		})
	}
	wg.Wait()
	w.see("/")
}

// Clients that send a byte now and then hold no connection for long, and leave room
// for the page.
func TestSlowClients(t *testing.T) {
	t.Parallel()
	head := headTime
	if !webtest.Long() {
		head = time.Second / 2
	}
	w := openHome(t, testHome(t), Options{head: head})
	var slow []net.Conn
	for range connections / 2 {
		c, err := net.Dial("tcp", strings.TrimPrefix(w.base, "http://"))
		require.NoError(t, err)
		defer c.Close()
		_, err = fmt.Fprintf(c, "GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ")
		require.NoError(t, err)
		slow = append(slow, c)
	}
	w.see("/")
	if testing.Short() {
		return
	}
	require.NoError(t, slow[0].SetReadDeadline(time.Now().Add(head+patience)))
	_, err := bufio.NewReader(slow[0]).ReadString(0)
	require.Error(t, err)
	assert.NotErrorIs(t, err, os.ErrDeadlineExceeded, "cut off by the server, not by our own patience")
}

// A path that a person types opens a database of this program and nothing else, and makes
// nothing.
func TestADatabaseElsewhere(t *testing.T) {
	w := open(t)
	dir := t.TempDir()
	other := filepath.Join(dir, "shared records.db")
	db, err := sqlite.Open(t.Context(), other)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	made := map[string]string{"a letter": "letter.txt", "another database": "other.db", "an empty file": "empty.db", "half a head": "half.db"}
	require.NoError(t, os.WriteFile(filepath.Join(dir, made["a letter"]), []byte(strings.Repeat("x", 5000)), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, made["another database"]), []byte("SQLite format 3\x00"+strings.Repeat("\x00", 5000)), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, made["an empty file"]), nil, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, made["half a head"]), []byte("SQLite format 3\x00"), 0o600))
	refused := map[string]string{"a folder": dir, "a relative path": "shared records.db", "nothing": "", "one that is not there": filepath.Join(dir, "new.db"), "a device": "/dev/zero", "made up by the system": "/proc/self/mem"}
	for what, name := range made {
		refused[what] = filepath.Join(dir, name)
	}
	for what, path := range refused {
		page, status, _ := w.send("POST", "/elsewhere", "application/x-www-form-urlencoded", strings.NewReader(url.Values{"path": {path}}.Encode()))
		assert.Equal(t, 400, status, what)
		assert.Contains(t, page, "This could not be done", what)
	}
	assert.NoFileExists(t, filepath.Join(dir, "new.db"))
	empty, err := os.ReadFile(filepath.Join(dir, made["an empty file"]))
	require.NoError(t, err)
	assert.Empty(t, empty, "nothing is written into a file that is not ours")
	page, at := w.post("/elsewhere", "path", ` "`+other+`" `) // as a file manager copies it
	assert.Contains(t, page, "Nothing was read into this practice yet")
	_, again := w.post("/elsewhere", "path", other)
	assert.Equal(t, at, again, "while it is open")
	w.begin("east")
	assert.Contains(t, w.see("/"), "shared records")
}
