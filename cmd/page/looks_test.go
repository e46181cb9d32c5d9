package page

import (
	"bytes"
	"context"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/template"
	"shortfall/report/web/webtest"
	"shortfall/sampledata"
)

// invented is the workbook of the sample with its records, everyday of a practice a quarter as large.
var invented = sync.OnceValues(func() (workbook []byte, ds *casebook.Dataset) {
	p := sampledata.Default()
	if webtest.Long() {
		ds, _ = sampledata.Generate(p, sampledata.DefaultSeed)
		return sampledata.Workbook, ds
	}
	p.Cases = everydayCases
	ds, _ = sampledata.Generate(p, sampledata.DefaultSeed)
	var b bytes.Buffer
	if err := template.WriteDataset(&b, ds, template.Meta{Invented: true}); err != nil {
		panic(err)
	}
	return b.Bytes(), ds
})

// openInvented starts the page with it in the place of the sample.
func openInvented(t *testing.T) *window {
	t.Helper()
	workbook, _ := invented()
	return openHome(t, testHome(t), Options{sample: workbook})
}

// everydayCases are as few as have a figure of every kind behind which there is something.
const everydayCases = 56

// lived is a practice in which every kind of page has something to show: records of the
// sample, a sheet with questions, one that is refused, one with problems.
func lived(t *testing.T) (w *window, practice string) {
	t.Helper()
	w = open(t)
	p := w.begin("east")
	workbook, _ := invented()
	_, at := w.give(p, file{"practice.xlsx", string(workbook)})
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	dirty, err := os.ReadFile("../../sampledata/dirty.csv")
	require.NoError(t, err)
	w.give(p, file{"dirty.csv", string(dirty)}, file{"own.csv", openSheet},
		file{"persons.csv", "case,patient name,status,course,tooth,axis,planned,achieved,style\n4711,Invented Person,completed,1,13,rotation,12,8,none\n"})
	for n, want := range map[string]string{"2": "How it was understood", "3": "What the file leaves open", "4": "<h1"} {
		w.until(p+"/read/"+n, want)
	}
	w.post(p+"/read/2/keep", "code", "DIRTY", "fewer", "yes")
	w.post(p+"/without", "back", p+"/read")
	w.until(p+"/audit", "Save the report")
	return w, p
}

var parts = regexp.MustCompile(`/(p)/[0-9a-f]{12}|/(read)/\d+|/(jobs)/[^/]+`)

// links of a page, without what of it they lead to.
func links(page string) (out []string) {
	pieces := strings.Split(page, `href="`)
	for _, p := range pieces[1:] {
		if to := p[:max(strings.IndexAny(p, `"#`), 0)]; to != "" {
			out = append(out, strings.ReplaceAll(to, "&amp;", "&"))
		}
	}
	return out
}

// kind is what tells kinds of pages apart: the path without ids, and the names of fields.
func kind(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return address
	}
	names := ""
	for _, n := range []string{"tooth", "axis", "direction", "style", "quarter", "id", "verdict"} {
		if u.Query().Has(n) {
			names += " " + n
		}
	}
	return parts.ReplaceAllString(u.Path, "/$1$2$3 N") + names
}

// everyPage follows the links of the page and gives one address of each kind; every
// link must lead to something. Everyday the files of an audit are left to TestOnTheSample but
// for the one that it leaves.
func (w *window) everyPage(from ...string) map[string]string {
	w.Helper()
	seen := map[string]string{}
	for len(from) > 0 {
		at := from[0]
		from = from[1:]
		if seen[kind(at)] != "" || !strings.HasPrefix(at, "/") {
			continue
		}
		seen[kind(at)] = at
		if strings.Contains(at, "/audit/files/") && !strings.Contains(at, leftFile) && !webtest.Long() {
			continue
		}
		page, status := w.get(at)
		require.Equal(w, 200, status, at)
		if strings.HasPrefix(page, "<!doctype") {
			from = append(from, links(page)...)
		}
	}
	return seen
}

// enters the page with a key of its own in a browser.
func (w *window) enters(tab context.Context) {
	w.Helper()
	key := ""
	for len(w.announced) > 0 {
		key = <-w.announced
	}
	webtest.Do(w, tab, webtest.Looks[0].As(), chromedp.Navigate(key))
	webtest.Wait(w, tab, `document.querySelector("main h1") !== null`)
}

// rest of long tables and figures is of the same kind as their beginning, and axe-core
// would look at it for minutes.
const rest = `document.querySelectorAll("tbody").forEach((b) => Array.from(b.rows).slice(3).forEach((r) => r.remove())),
	document.querySelectorAll("table").forEach((t) => Array.from(t.tBodies).slice(2).forEach((b) => b.remove())),
	document.querySelectorAll("svg").forEach((s) => Array.from(s.querySelectorAll("text")).slice(12).forEach((x) => x.remove())), true`

// TestEveryLinkLeadsSomewhere, and, in the long form, what no other test opens in a browser is
// accessible too.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	t.Parallel()
	w, p := lived(t)
	kinds := w.everyPage("/", p+"/read/1", p+"/read/2", p+"/read/3", p+"/read/4")
	require.Greater(t, len(kinds), 20, "%v", kinds)
	if !webtest.Long() {
		return
	}
	tab := webtest.Tab(t)
	w.enters(tab)
	for _, k := range []string{"/p N/audit/cases", "/p N/audit/behind direction", ""} {
		at := kinds[k]
		if k == "" {
			at = "/nothing"
		}
		require.NotEmpty(t, at, "%s in %v", k, kinds)
		webtest.Do(t, tab, chromedp.Navigate(w.base+w.root+at))
		webtest.Wait(t, tab, `document.querySelector("main h1") !== null && document.querySelector("[data-task]") === null`)
		webtest.Value[bool](t, tab, rest)
		webtest.Accessible(t, tab, at)
	}
}
