package page

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/web/webtest"
)

// elsewhere is a page of another server that tries what a browser lets it: to read, to
// send a form, to frame, to run our scripts. %[1]s is the address of the page.
const elsewhere = `<!doctype html><title>elsewhere</title><body>
<iframe name="frame" src="%[1]s/"></iframe><img id="img" src="%[1]s/assets/page.css">
<form id="form" method="post" target="frame2" action="%[1]s/practices"><input name="name" value="by form"></form><iframe name="frame2"></iframe>
<script>
window.done = (async () => {
	const told = [];
	for (const [what, how] of [["read", {}], ["post", {method: "POST", body: new URLSearchParams({name: "by fetch"})}],
		["blind", {method: "POST", mode: "no-cors", body: new URLSearchParams({name: "by blind fetch"})}],
		["beacon", {method: "POST", mode: "no-cors", body: new Blob(["name=by beacon"], {type: "text/plain"})}]]) {
		try {
			const r = await fetch("%[1]s/practices", {credentials: "include", ...how});
			told.push(what + " " + r.type + " " + r.status + " " + (await r.text()).length);
		} catch (e) { told.push(what + " failed"); }
	}
	document.getElementById("form").submit();
	await new Promise((go) => setTimeout(go, 500));
	for (const f of document.querySelectorAll("iframe")) {
		try { told.push("frame " + f.contentDocument.body.innerText); } catch (e) { told.push("frame closed"); }
	}
	const s = document.createElement("script");
	s.type = "module"; s.src = "%[1]s/assets/page.js";
	told.push(await new Promise((go) => { s.onload = () => go("script ran"); s.onerror = () => go("script failed"); document.body.append(s); }));
	return told.join("; ");
})();
</script>`

// A browser that holds the cookie and opens a page of another server, of this machine (to
// browsers of the same site) or of another name, does nothing for it here.
func aPageOfAnotherServer(l *looker) {
	t, tab := l.T, l.tab
	w := open(t)
	w.enters(tab)
	require.NotEmpty(t, w.cookie())
	for _, host := range []string{"127.0.0.1", "localhost"} {
		t.Run(host, func(t *testing.T) {
			evil := httptest.NewServer(http.HandlerFunc(func(a http.ResponseWriter, r *http.Request) {
				assert.Empty(t, r.Header.Get("Cookie"), "the cookie of the page goes to no other port (%s)", r.URL)
				a.Header().Set("Content-Type", "text/html")
				fmt.Fprintf(a, elsewhere, w.base)
			}))
			defer evil.Close()
			webtest.Do(t, tab, chromedp.Navigate(strings.Replace(evil.URL, "127.0.0.1", host, 1)))
			told := webtest.Value[string](t, tab, "window.done")
			assert.NotRegexp(t, `(read|post) (basic|cors)|script ran|practices`, told)
			assert.Contains(t, told, "script failed")
			entries, err := os.ReadDir(w.home.Folder())
			require.NoError(t, err)
			for _, e := range entries {
				assert.NotContains(t, e.Name(), "by ", "%s made something", e.Name())
			}
		})
	}
	webtest.Do(t, tab, chromedp.Navigate(w.base+w.root+"/"))
	webtest.Wait(t, tab, `document.querySelector("main h1") !== null`) // the page itself goes on
}

// A name that was made to lead here, as an attacker's server could do, is refused, though it
// comes with the path and the cookie.
func TestAnswersUnderItsOwnAddressAlone(t *testing.T) {
	w := open(t)
	for host, want := range map[string]int{strings.TrimPrefix(w.base, "http://"): 200, "clinic.example": 403, "127.0.0.1": 403, "127.0.0.1:1": 403} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, w.base+w.root+"/", nil)
		require.NoError(t, err)
		r.Host = host
		r.Header.Set("Cookie", w.cookie())
		answer, err := (&http.Client{}).Do(r)
		require.NoError(t, err)
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		assert.Equal(t, want, answer.StatusCode, host)
		assert.Equal(t, want == 200, strings.Contains(string(text), w.home.Folder()), host)
	}
}

// The sample is read again where its reading was stopped, or its file taken out: the
// practice is there and empty. Nothing of it waits among the files in work.
func TestSampleThatWasStopped(t *testing.T) {
	t.Parallel()
	w := openInvented(t)
	p := w.begin("invented sample")
	w.post("/demo")
	w.until(p+"/records", "practice.xlsx")
	assert.NotContains(t, w.see(p+"/read"), "being read")
}

// What keeps the page from opening is said, and does not leave the program waiting.
func TestServingThatCannotBegin(t *testing.T) {
	t.Parallel()
	home := testHome(t)
	require.NoError(t, os.Mkdir(filepath.Join(home.Folder(), "opened.lock"), 0o700))
	over := make(chan error, 1)
	go func() { over <- Serve(t.Context(), Options{Home: home, Open: filepath.Join(home.Folder(), "a.db")}) }()
	select {
	case err := <-over:
		assert.ErrorContains(t, err, "the list of databases could not be written")
	case <-time.After(time.Minute):
		require.Fail(t, "it waits for tasks that nobody ends")
	}
}
