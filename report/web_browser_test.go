package report_test

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/document"
	"shortfall/report/web"
	"shortfall/report/web/webtest"
)

// TestInABrowser opens what is written as a reader does, from a file, in one browser. It is
// all of the long form: everyday one browser is started, by cmd/page.
func TestInABrowser(t *testing.T) {
	if !webtest.Long() {
		t.Skip("with SHORTFALL_LONG=1")
	}
	tab := webtest.Tab(t)
	for _, c := range []struct {
		name string
		run  func(*testing.T, context.Context)
	}{
		{"Accessible", testAccessible},
		{"SortByKeyboard", testSortByKeyboard},
		{"FilterKeepsTheHeads", testFilterKeepsTheHeads},
		{"SavedCSV", testSavedCSV},
		{"Copy", testCopy},
		{"FigureLeadsToItsNumbers", testFigureLeadsToItsNumbers},
		{"WideFigureInANarrowWindow", testWideFigure},
		{"NothingElseRuns", testNothingElseRuns},
		{"FillIn", testFillIn},
		{"HeadsWrap", testHeadsWrap},
		{"Printed", testPrinted},
		{"WithoutScript", testWithoutScript},
	} {
		t.Run(c.name, func(t *testing.T) { c.run(t, tab) })
	}
}

func open(t *testing.T, tab context.Context, page string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "audit.html")
	require.NoError(t, os.WriteFile(path, []byte(page), 0o600))
	address := url.URL{Scheme: "file", Path: filepath.ToSlash(path)}
	webtest.Do(t, tab, webtest.Looks[0].As(), chromedp.Navigate(address.String()))
}

func testAccessible(t *testing.T, tab context.Context) {
	open(t, tab, written(t, sampleDoc()))
	webtest.Accessible(t, tab, "the sample document")
}

// column is what a column of the large table shows, group heads in parentheses.
const column = `Array.from(document.querySelectorAll("#numbers tbody tr")).filter((r) => !r.hidden).map((r) => r.cells.length > 1 ? r.cells[%d].textContent : "(" + r.textContent + ")").join(" ")`

func shown(t *testing.T, tab context.Context, n string) string {
	t.Helper()
	return webtest.Value[string](t, tab, strings.Replace(column, "%d", n, 1))
}

func said(t *testing.T, tab context.Context) string {
	t.Helper()
	return webtest.Value[string](t, tab, `document.querySelector("[role=status]").textContent`)
}

// Sorting goes by value within the groups, by keyboard, says what it did, and the third
// time puts the rows back.
func testSortByKeyboard(t *testing.T, tab context.Context) {
	d := sampleDoc()
	rows := d.Sections[0].Blocks[5].(document.Section).Blocks[0].(document.Table).Rows
	for i, text := range map[int]string{1: "1\u2009234", 2: "87", 3: "too few", 4: "−5", 5: "100", 6: "9"} {
		rows[i].Cells[1].Text = text
	}
	open(t, tab, written(t, d))
	before := shown(t, tab, "0")
	webtest.Do(t, tab, chromedp.Focus(chromedp.CSS(`#numbers thead th:nth-child(2) button`)), chromedp.KeyEvent(kb.Enter))
	assert.True(t, strings.HasPrefix(shown(t, tab, "1"), "(Group 0) −5 9 87 100 1\u202f234 too few (Group 1) "), shown(t, tab, "1"))
	assert.Equal(t, "sorted by Cases, ascending", said(t, tab))
	assert.Equal(t, "ascending", webtest.Value[string](t, tab, `document.querySelector("#numbers thead th:nth-child(2)").getAttribute("aria-sort")`))
	webtest.Do(t, tab, chromedp.KeyEvent(" "))
	assert.True(t, strings.HasPrefix(shown(t, tab, "1"), "(Group 0) 1\u202f234 100 87 9 −5 too few (Group 1) "), shown(t, tab, "1"))
	webtest.Do(t, tab, chromedp.KeyEvent(kb.Enter))
	assert.Equal(t, before, shown(t, tab, "0"))
	assert.Equal(t, "in the order of the report", said(t, tab))
}

func testFilterKeepsTheHeads(t *testing.T, tab context.Context) {
	open(t, tab, written(t, sampleDoc()))
	webtest.Do(t, tab, chromedp.SendKeys(chromedp.CSS(`input[aria-label="filter rows: Numbers <of> it"]`), "row 11"))
	assert.Equal(t, "(Group 1) row 11", shown(t, tab, "0"))
	assert.Equal(t, "1 of 12 rows", said(t, tab))
	webtest.Do(t, tab, chromedp.KeyEvent(kb.Backspace+kb.Backspace+kb.Backspace+kb.Backspace+kb.Backspace+kb.Backspace+"group 0"))
	assert.Equal(t, "(Group 0) row 0 row 1 row 2 row 3 row 4 row 5", shown(t, tab, "0"))
}

// What a spreadsheet is given are numbers it can read and no formula.
func testSavedCSV(t *testing.T, tab context.Context) {
	d := sampleDoc()
	rows := d.Sections[0].Blocks[5].(document.Section).Blocks[0].(document.Table).Rows
	rows[1].Cells[0].Text, rows[1].Cells[1].Text = `=HYPERLINK("http://example.org")`, "−1\u2009234.5"
	rows[2].Cells[0].Text, rows[3].Cells[0].Text, rows[4].Cells[0].Text = "+1+cmd|' /C calc'!A0", "@sum", `said "so"`
	open(t, tab, written(t, d))
	dir := webtest.Downloads(t, tab)
	webtest.Do(t, tab, chromedp.Click(chromedp.CSS(`button[aria-label="save as CSV: Numbers <of> it"]`)))
	path := filepath.Join(dir, "numbers.csv")
	require.Eventually(t, func() bool { _, err := os.Stat(path); return err == nil }, 5*time.Minute, 20*time.Millisecond)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.Split(string(b), "\r\n")
	assert.Equal(t, "\ufeff"+`"Movement","Cases","Points (95 % CI)"`, lines[0])
	assert.Equal(t, `"'=HYPERLINK(""http://example.org"")","-1234.5","+14 (-9 to +20)"`, lines[2])
	assert.True(t, strings.HasPrefix(lines[3], `"'+1+cmd|`), lines[3])
	assert.True(t, strings.HasPrefix(lines[4], `"'@sum"`), lines[4])
	assert.True(t, strings.HasPrefix(lines[5], `"said ""so""","1234",`), lines[5])
	assert.Equal(t, "Numbers <of> it: saved as numbers.csv", said(t, tab))
}

func testCopy(t *testing.T, tab context.Context) {
	open(t, tab, written(t, sampleDoc()))
	webtest.Do(t, tab, chromedp.Click(chromedp.CSS(`button[aria-label="copy: Numbers <of> it"]`)))
	webtest.Wait(t, tab, `document.querySelector("[role=status]").textContent !== ""`)
	assert.Equal(t, "Numbers <of> it: copied", said(t, tab))
}

// A mark of a figure leads to its row in the folded table.
func testFigureLeadsToItsNumbers(t *testing.T, tab context.Context) {
	d := sampleDoc()
	data := d.Sections[0].Blocks[4].(document.Figure).Data
	data.Rows[0].Cells[0].Datum = "0"
	open(t, tab, written(t, d))
	assert.False(t, webtest.Value[bool](t, tab, `document.querySelector("#bar details").open`))
	at := webtest.Value[[]float64](t, tab, `(() => { const b = document.querySelector('#bar [data-key="0"]').getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; })()`)
	webtest.Do(t, tab, chromedp.MouseClickXY(at[0], at[1]))
	assert.True(t, webtest.Value[bool](t, tab, `document.querySelector("#bar details").open`))
	assert.Equal(t, "none30", webtest.Value[string](t, tab, `document.activeElement.textContent`))
}

// A figure wider than the window says so, and the keyboard reaches its other end; in a
// wide window nothing is said.
func testWideFigure(t *testing.T, tab context.Context) {
	open(t, tab, written(t, sampleDoc()))
	const said = `getComputedStyle(document.querySelector("#bar .draw"), "::before").content`
	assert.Equal(t, "none", webtest.Value[string](t, tab, said))
	webtest.Do(t, tab, webtest.Look{Width: 390}.As())
	assert.Contains(t, webtest.Value[string](t, tab, said), "scroll it sideways")
	require.True(t, webtest.Value[bool](t, tab, `(() => { const d = document.querySelector("#bar .draw"); d.focus(); return d.scrollWidth > d.clientWidth && document.activeElement === d; })()`))
	webtest.Do(t, tab, chromedp.KeyEvent(kb.ArrowRight))
	webtest.Wait(t, tab, `document.querySelector("#bar .draw").scrollLeft > 0`)
}

// The policy lets neither a script nor a style run that came in from elsewhere.
func testNothingElseRuns(t *testing.T, tab context.Context) {
	page := written(t, sampleDoc())
	open(t, tab, strings.Replace(page, "</main>", "<script>document.title = 'broken in'</script><style>main { display: none }</style></main>", 1))
	assert.NotContains(t, webtest.Value[string](t, tab, "document.title"), "broken in")
	assert.NotEqual(t, "none", webtest.Value[string](t, tab, `getComputedStyle(document.querySelector("main")).display`), "a style that came in is not applied")
	assert.Positive(t, webtest.Value[int](t, tab, `document.querySelectorAll(".tools").length`), "our own script runs")
	assert.Equal(t, "3px", webtest.Value[string](t, tab, `getComputedStyle(document.querySelector("p.caution")).borderLeftWidth`), "our own style is applied")
}

// Without its script the page lacks the tools of its tables and nothing else.
func testWithoutScript(t *testing.T, tab context.Context) {
	page := written(t, sampleDoc())
	open(t, tab, page)
	with := webtest.Value[string](t, tab, `(() => { document.querySelectorAll(".tools, .said").forEach((x) => x.remove()); return document.querySelector("main").textContent; })()`)
	open(t, tab, strings.Replace(page, web.Script, "", 1))
	assert.Zero(t, webtest.Value[int](t, tab, `document.querySelectorAll(".tools").length`))
	assert.Equal(t, with, webtest.Value[string](t, tab, `document.querySelector("main").textContent`))
}

// A table to be filled in by hand has nothing to sort, copy or save.
func testFillIn(t *testing.T, tab context.Context) {
	d := sampleDoc()
	d.Sections = append(d.Sections, document.Section{ID: "fill", Title: "To decide", Blocks: []document.Block{document.Table{
		Title: "To decide", ToFill: true, Columns: []document.Column{{Title: "What"}, {Title: "Owner"}},
		Rows: []document.Row{{Cells: []document.Cell{{Text: "a"}, {}}}, {Cells: []document.Cell{{Text: "b"}, {}}}, {Cells: []document.Cell{{Text: "c"}, {}}}},
	}}})
	open(t, tab, written(t, d))
	assert.Equal(t, 0, webtest.Value[int](t, tab, `document.querySelectorAll("#fill button").length`))
	assert.Positive(t, webtest.Value[int](t, tab, `document.querySelectorAll("#numbers button").length`))
}

// Long heads over short numbers do not make a table wider than its place, nor break its
// names.
func testHeadsWrap(t *testing.T, tab context.Context) {
	heads := []string{"Cases / movements of the first courses", "Outside the tolerance, in percent", "Small plans that ended outside it", "Median and quartiles in percent", "Mean of the absolute error"}
	tab1 := document.Table{ID: "heads", Title: "Heads", Columns: []document.Column{{Title: "Style"}}, Rows: []document.Row{{Cells: []document.Cell{{Text: "software-suggested"}}}}}
	for _, h := range heads {
		tab1.Columns = append(tab1.Columns, document.Column{Title: h, Number: true})
		tab1.Rows[0].Cells = append(tab1.Rows[0].Cells, document.Cell{Text: "52 (44 to 60)"})
	}
	d := sampleDoc()
	d.Sections = append(d.Sections, document.Section{Title: "Wide", Blocks: []document.Block{tab1}})
	open(t, tab, written(t, d))
	assert.False(t, webtest.Value[bool](t, tab, `document.querySelector("#heads").parentNode.hasAttribute("data-wide")`))
}

// Printed, a table over several pages has its heads on each of them, and a row of it takes
// little more than a line.
func testPrinted(t *testing.T, tab context.Context) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed (apt: poppler-utils)")
	}
	doc := sampleDoc()
	long := document.Table{ID: "long", Title: "Long", Columns: []document.Column{{Title: "Direction"}, {Title: "Cases", Number: true}}}
	for i := range 150 {
		long.Rows = append(long.Rows, document.Row{Cells: []document.Cell{{Text: fmt.Sprint("line ", i)}, {Text: "7"}}})
	}
	doc.Sections = []document.Section{{ID: "only", Title: "Only", Blocks: []document.Block{long}}}
	open(t, tab, written(t, doc))
	webtest.Wait(t, tab, `document.querySelector("#long th button") !== null`)
	path := filepath.Join(t.TempDir(), "printed.pdf")
	require.NoError(t, os.WriteFile(path, webtest.Printed(t, tab), 0o600))
	text, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	require.NoError(t, err)
	var pages []string
	for page := range strings.SplitSeq(string(text), "\f") {
		if strings.Contains(page, "line ") {
			pages = append(pages, page)
		}
	}
	assert.Equal(t, 3, len(pages), "150 rows, 60 to 70 a page")
	for i, page := range pages {
		assert.Regexp(t, `Direction +Cases`, page, "page %d", i+1)
	}
}
