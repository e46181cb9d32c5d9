package page

import (
	"bytes"
	"context"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/template"
	"shortfall/report/web/webtest"
	"shortfall/sampledata"
)

// livedIn is the workbook of the sample, everyday of a practice a quarter as large.
func livedIn(t *testing.T) string {
	t.Helper()
	if webtest.Long() {
		return string(sampledata.Workbook)
	}
	p := sampledata.Default()
	p.Cases = 40
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
	var b bytes.Buffer
	require.NoError(t, template.WriteDataset(&b, ds, template.Meta{Invented: true}))
	return b.String()
}

// lived is a practice in which every kind of page has something to show: records of the
// sample, a sheet with questions, one that is refused, one with problems.
func lived(t *testing.T) (w *window, practice string) {
	t.Helper()
	w = open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"practice.xlsx", livedIn(t)})
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

var (
	link  = regexp.MustCompile(`(?:href|xlink:href)="([^"#]+)`)
	parts = regexp.MustCompile(`/(p)/[0-9a-f]{12}|/(read)/\d+|/(jobs)/[^/]+`)
)

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
// link must lead to something.
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
		page, status := w.get(at)
		require.Equal(w, 200, status, at)
		for _, m := range link.FindAllStringSubmatch(page, -1) {
			from = append(from, strings.ReplaceAll(m[1], "&amp;", "&"))
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
