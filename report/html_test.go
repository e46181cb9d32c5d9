package report

import (
	"bytes"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"shortfall/audit/results"
	"shortfall/report/web/webtest"
	"shortfall/sampledata"
)

// once holds what several tests look at and none changes.
var once struct {
	audit, page, pdf, leaves sync.Once
	compared, leaving        *results.Results
	html                     string
	practice                 []byte
}

// compared is a practice of which some directions are compared.
func compared(t *testing.T) *results.Results {
	t.Helper()
	once.audit.Do(func() { once.compared = invented{cases: 90, seed: 3}.results(t) })
	require.NotNil(t, once.compared)
	return once.compared
}

// leaving60 is a practice of 60 cases as it leaves the house.
func leaving60(t *testing.T) *results.Results {
	t.Helper()
	once.leaves.Do(func() {
		once.leaving = invented{cases: 60, seed: 6, set: func(s *results.Settings) { s.Shared = true }}.results(t)
	})
	require.NotNil(t, once.leaving)
	return once.leaving
}

// comparedPage is the report of compared as a web page.
func comparedPage(t *testing.T) string {
	t.Helper()
	once.page.Do(func() { once.html = asHTML(t, compared(t)) })
	require.NotEmpty(t, once.html)
	return once.html
}

func asHTML(t *testing.T, r *results.Results) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, HTML(&b, r))
	return b.String()
}

func TestHTMLSameResultsSameBytes(t *testing.T) {
	r := compared(t)
	assert.Equal(t, asHTML(t, r), asHTML(t, r))
}

// byID and links of a parsed page.
func byID(n *html.Node, id string) *html.Node {
	for _, a := range n.Attr {
		if a.Key == "id" && a.Val == id {
			return n
		}
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if found := byID(c, id); found != nil {
			return found
		}
	}
	return nil
}

func links(n *html.Node) (to []string) {
	for _, a := range n.Attr {
		if id, ok := strings.CutPrefix(a.Val, "#"); ok && n.Data == "a" && a.Key == "href" {
			to = append(to, id)
		}
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		to = append(to, links(c)...)
	}
	return to
}

func around(n *html.Node, tag string) *html.Node {
	for n != nil && n.Data != tag {
		n = n.Parent
	}
	return n
}

func words(n *html.Node) string {
	if n == nil {
		return ""
	}
	if n.Type == html.TextNode {
		return n.Data
	}
	s := ""
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		s += words(c)
	}
	return s
}

// From every direction of page one, where it is compared, one step leads to its row,
// and from the section of that row one leads to its definition and one to its method,
// which name their sources.
func TestThreeStepsToTheSource(t *testing.T) {
	page := comparedPage(t)
	root, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	rows := 0
	for _, to := range links(byID(root, "dots")) {
		row := byID(root, to)
		require.NotNil(t, row, to)
		if row.Data != "tr" {
			continue
		}
		rows++
		var def, method bool
		for _, next := range links(around(row, "section")) {
			def = def || strings.HasPrefix(next, "def-")
			if strings.HasPrefix(next, "method-") {
				method = true
				assert.Regexp(t, `\(\w.*\d{4}|ours|common practice`, words(byID(root, next)), "%s names its source", next)
			}
		}
		assert.True(t, def && method, "from %s to a definition and a method", to)
	}
	assert.Positive(t, rows)
	for _, to := range links(byID(root, "directions")) {
		if strings.HasPrefix(to, "cell-") {
			assert.Equal(t, "tr", byID(root, to).Data)
			rows++
		}
	}
	assert.Greater(t, rows, 12)
}

// The captions of page one, what stands under its headline and what it counts lead to
// tables and figures that name their method.
func TestCaptionsOfPageOneLeadOn(t *testing.T) {
	root, err := html.Parse(strings.NewReader(comparedPage(t)))
	require.NoError(t, err)
	method := func(id string) bool {
		return slices.ContainsFunc(links(around(byID(root, id), "section")), func(to string) bool { return strings.HasPrefix(to, "method-") })
	}
	for _, id := range []string{"dots", "arches-one", "refined"} {
		to := links(byID(root, id).FirstChild.NextSibling)
		require.NotEmpty(t, to, id)
		assert.True(t, method(to[0]), "%s leads to %s", id, to[0])
	}
	page := links(byID(root, "page-one"))
	assert.Contains(t, page, "readings")
	assert.Contains(t, page, "flow-short")
	assert.Contains(t, links(byID(root, "flow-short")), "annex-flow")
	assert.True(t, method("annex-flow"))
}

// Every mark that can be pointed at has its numbers in the table below it.
func TestFiguresOfPageOneHaveTheirNumbers(t *testing.T) {
	root, err := html.Parse(strings.NewReader(comparedPage(t)))
	require.NoError(t, err)
	attribute := regexp.MustCompile(`(data-key|data-of)="([^"]+)"`)
	for _, id := range []string{"dots", "arches-one", "arches", "refined", "directions", "kept"} {
		var b bytes.Buffer
		require.NoError(t, html.Render(&b, byID(root, id)))
		of, keys := map[string]bool{}, map[string]bool{}
		for _, m := range attribute.FindAllStringSubmatch(b.String(), -1) {
			map[string]map[string]bool{"data-key": keys, "data-of": of}[m[1]][m[2]] = true
		}
		assert.NotEmpty(t, keys, id)
		for key := range keys {
			assert.True(t, of[key], "%s: %s", id, key)
		}
	}
}

// What leaves the practice names no case and no clinician, folded tables and texts for
// screen readers included; the same report for inside names some.
func TestSharedHTMLNamesNobody(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 6)
	names := map[string]bool{}
	for _, c := range ds.Cases {
		names[c.ID], names[c.Clinician] = true, true
	}
	require.Greater(t, len(names), 60)
	named := func(page string) (out []string) {
		for _, word := range regexp.MustCompile(`[A-Za-z0-9-]+`).FindAllString(page, -1) {
			if names[word] && !slices.Contains(out, word) {
				out = append(out, word)
			}
		}
		return out
	}
	assert.Empty(t, named(asHTML(t, leaving60(t))))
	assert.NotEmpty(t, named(comparedPage(t)), "which has the same clinicians")
}

// fewRows leaves the first rows of each table and the first marks of each figure: the
// others are of the same kind, and axe-core would look at them for minutes.
const fewRows = `document.querySelectorAll("tbody").forEach((b) => Array.from(b.rows).slice(3).forEach((r) => r.remove())),
	document.querySelectorAll("table").forEach((t) => Array.from(t.tBodies).slice(2).forEach((b) => b.remove())),
	document.querySelectorAll("section[id^=annex] svg").forEach((s) => Array.from(s.querySelectorAll("text")).slice(12).forEach((x) => x.remove())), true`

// A whole report, in every look. Everyday the sample document of package web and the audit
// that the page shows (cmd/page) are looked at, which are written by the same code.
func TestHTMLIsAccessible(t *testing.T) {
	if !long {
		t.Skip("with SHORTFALL_LONG: looks at a whole report four times")
	}
	tab := webtest.Tab(t)
	path := filepath.Join(t.TempDir(), "audit.html")
	require.NoError(t, os.WriteFile(path, []byte(comparedPage(t)), 0o600))
	address := url.URL{Scheme: "file", Path: filepath.ToSlash(path)}
	webtest.Do(t, tab, chromedp.Navigate(address.String()))
	webtest.Value[bool](t, tab, fewRows)
	webtest.Accessible(t, tab, "the report")
}
