package page

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/web/webtest"
)

// dirty is a sheet of its own layout that leaves three points open, with two rows that
// cannot be right. Its numbers are drawn from a fixed seed.
func dirty() string {
	rng := rand.New(rand.NewPCG(7, 7))
	var b strings.Builder
	b.WriteString("patient,tooth,movement,planned,got,bonded\n")
	for i := range 24 {
		for _, tooth := range []string{"12", "13", "23", "14", "21"} {
			plan := 8 + rng.Float64()*20
			fmt.Fprintf(&b, "N%02d,%s,rotation,%.1f,%.1f,%s\n", i+1, tooth, plan, plan*(0.3+0.5*rng.Float64()), []string{"clinician", "software", "none"}[rng.IntN(3)])
		}
	}
	b.WriteString("N03,99,rotation,12,8,clinician\nN04,24,rotation,twelve,8,clinician\n")
	return b.String()
}

// looker is a person with a browser.
type looker struct {
	*testing.T
	tab context.Context //nolint:containedctx // of the browser
	w   *window
	n   int
}

func (l *looker) do(actions ...chromedp.Action[chromedp.Void]) {
	l.Helper()
	webtest.Do(l.T, l.tab, actions...)
}

// wait until an expression is true; while another page is being opened it is not.
func (l *looker) wait(expression string) {
	l.Helper()
	for begun := time.Now(); time.Since(begun) < patience; time.Sleep(50 * time.Millisecond) {
		if ok, err := ask[bool](l, expression); err == nil && ok {
			return
		}
	}
	require.Fail(l.T, "never true", "%s\n%s", expression, l.text())
}

func ask[T any](l *looker, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(l.tab, 10*time.Second)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression))
}

// text of the page, "" while another is being opened.
func (l *looker) text() string {
	s, err := ask[string](l, "document.getElementById('main')?.innerText ?? ''")
	if err != nil {
		return ""
	}
	return s
}

// sees waits until the page says something and its script runs.
func (l *looker) sees(what string) {
	l.Helper()
	l.wait(fmt.Sprintf("document.documentElement.dataset.ready === 'yes' && (document.getElementById('main')?.innerText ?? '').includes(%q)", what))
}

// press finds a button or link by what it says, and clicks it.
func (l *looker) press(name string) {
	l.Helper()
	l.wait(fmt.Sprintf(`(() => { const e = [...document.querySelectorAll("#main button"), ...document.querySelectorAll("#main a"), ...document.querySelectorAll("header a")].find((e) => e.textContent.trim().replaceAll("\u00a0", " ") === %q); if (e) e.click(); return !!e })()`, name))
}

// everydayLook is the page that axe looks at everyday: one of forms, tables and figures. With
// SHORTFALL_LONG it is every page.
const everydayLook = "audit"

// looks at the page in every look with axe, and keeps pictures where asked to.
func (l *looker) looks(what string) {
	l.Helper()
	if !webtest.Long() && os.Getenv("SHORTFALL_LOOK") == "" && what != everydayLook {
		return
	}
	l.wait(`document.readyState === "complete" && document.documentElement.dataset.ready === "yes"`) // a page that a task's end loads again
	webtest.Accessible(l.T, l.tab, what)
	dir := os.Getenv("SHORTFALL_LOOK")
	if dir == "" {
		l.do(webtest.Looks[0].As())
		return
	}
	for _, look := range []webtest.Look{{Name: "light", Width: 1280}, {Name: "dark", Width: 1280, Dark: true}, {Name: "narrow", Width: 390}} {
		l.do(look.As())
		ctx, cancel := context.WithTimeout(l.tab, 30*time.Second)
		b, err := chromedp.Run(ctx, chromedp.FullScreenshot(90))
		cancel()
		require.NoError(l.T, err)
		l.n++
		require.NoError(l.T, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%s.png", strings.ReplaceAll(what, " ", "-"), look.Name)), b, 0o600))
	}
	l.do(webtest.Looks[0].As())
}

// TestInABrowser is the whole path of a new user, and what can go wrong on it; everyday it is
// the path from a spreadsheet to the PDF.
func TestInABrowser(t *testing.T) {
	t.Parallel()
	webtest.NeedsAxe(t)
	tab := webtest.Tab(t)
	w := open(t)
	<-w.announced
	webtest.Do(t, tab, webtest.Looks[0].As(), chromedp.Navigate(<-w.announced))
	for _, c := range []struct {
		name string
		run  func(*looker)
		long bool
	}{
		{"EmptyStartToPDF", emptyStartToPDF, false},
		{"CorrectedReRead", correctedReRead, true},
		{"BehindTheFigures", behindTheFigures, true},
		{"DroppedTogether", droppedTogether, true},
		{"MayIdentifyAPerson", mayIdentify, true},
		{"TargetsAndRecords", targetsAndRecords, true},
		{"TwoTabs", twoTabs, true},
		{"KeyboardOnly", keyboardOnly, true},
		{"Clash", clash, true},
		{"FullReport", fullReport, true},
		{"ClickAsATaskEnds", clickAsATaskEnds, true},
		{"APageOfAnotherServer", aPageOfAnotherServer, true},
	} {
		if !t.Run(c.name, func(t *testing.T) {
			if c.long && !webtest.Long() {
				t.Skip("with SHORTFALL_LONG; everyday EmptyStartToPDF")
			}
			c.run(&looker{T: t, tab: tab, w: w})
		}) {
			return // the next goes on where this one ended
		}
	}
}

// part opens a part of the practice and waits until its script runs.
func (l *looker) part(name string) {
	l.Helper()
	l.wait(`!!document.body?.dataset.practice`)
	practice := webtest.Value[string](l.T, l.tab, "document.body.dataset.practice")
	l.do(chromedp.Navigate(l.w.base + l.w.root + "/p/" + practice + "/" + name))
	l.wait(`document.documentElement.dataset.ready === "yes"`)
}

// sheetFile is a spreadsheet in a folder of the person's.
func (l *looker) sheetFile(name, text string) string {
	l.Helper()
	path := filepath.Join(l.TempDir(), name)
	require.NoError(l.T, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// choose gives the page a file as a person who chooses it.
func (l *looker) choose(path string) {
	l.Helper()
	l.part("read")
	l.do(chromedp.SetUploadFiles(chromedp.CSS("#files"), []string{path}))
	l.press("Read")
}

func emptyStartToPDF(l *looker) {
	l.sees("From the spreadsheets")
	l.looks("start")
	l.do(chromedp.SendKeys(chromedp.CSS("#name"), "east"))
	l.press("Begin")
	l.sees("Nothing was read into this practice yet")
	l.looks("read")
	l.do(chromedp.SetUploadFiles(chromedp.CSS("#files"), []string{l.sheetFile("own.csv", dirty())}))
	l.press("Read")
	l.sees("What the file leaves open")
	assert.Equal(l, 3, webtest.Value[int](l.T, l.tab, `document.querySelectorAll("fieldset").length`))
	l.looks("questions")
	l.do(chromedp.Reload())
	l.sees("What the file leaves open") // a reload in the middle loses nothing
	l.do(chromedp.Click(chromedp.CSS(`input[value="fdi"]`)))
	l.sees("120 movements")
	assert.Contains(l, l.text(), "Write a permanent tooth")
	l.looks("understood")
	l.press("Show the first")
	l.wait(`location.hash === "#B122"`)
	l.press("Show only these rows")
	l.sees("Only rows with one kind of problem")
	l.press("Accept and keep the records")
	l.sees("The records are kept")
	l.looks("kept")
	l.press("Audit")
	l.sees("Period, clinician, tolerance")
	if os.Getenv("SHORTFALL_LOOK") == "" {
		webtest.Value[bool](l.T, l.tab, rest)
	}
	l.looks("audit")
	saved := webtest.Downloads(l.T, l.tab)
	l.press("PDF for a meeting")
	require.Eventually(l.T, func() bool {
		files, err := filepath.Glob(filepath.Join(saved, "report_*.pdf")) // whose and when
		if err != nil || len(files) != 1 {
			return false
		}
		b, err := os.ReadFile(files[0])
		return err == nil && strings.HasPrefix(string(b), "%PDF-") && strings.HasSuffix(strings.TrimSpace(string(b)), "%%EOF")
	}, patience, 50*time.Millisecond)
}

// The corrected sheet asks nothing again, and only what was wrong is new.
func correctedReRead(l *looker) {
	l.choose(l.sheetFile("own.csv", strings.NewReplacer("N03,99,", "N03,24,", "twelve", "12").Replace(dirty())))
	l.sees("How it was understood")
	l.sees("122 movements")
	l.press("Accept and keep the records")
	l.sees("A later version of own.csv")
	assert.Equal(l, "movements 2 120 0", webtest.Value[string](l.T, l.tab, `[...document.querySelectorAll("tbody tr:last-child > *")].map((c) => c.textContent.trim()).join(" ")`))
}

func behindTheFigures(l *looker) {
	l.part("audit")
	// A page that waits for a task is loaded again, which would take the key with it.
	l.wait(`document.querySelectorAll("[data-task]").length === 0 && document.documentElement.dataset.ready === "yes"`)
	l.do(chromedp.Focus(chromedp.CSS(`.draw a[href*="tooth=13"]`)), chromedp.KeyEvent(kb.Enter)) // by keyboard, as any link
	l.sees("movements of")
	l.looks("behind")
	l.press("N01")
	l.sees("For discussion")
	l.looks("case")
	l.press("Records of this case")
	l.sees("As they stand")
	l.looks("records of a case")
}

// Three files at once, dropped as a person drops them; one of them is there already.
func droppedTogether(l *looker) {
	l.part("read")
	assert.NotContains(l, l.text(), "Files not in the audit yet", "what was kept is no longer in work")
	second := strings.ReplaceAll(dirty(), "N", "M")
	files := []string{
		l.sheetFile("own.csv", dirty()), l.sheetFile("second.csv", strings.ReplaceAll(second, ",rotation,", ",torque,")),
		l.sheetFile("letter.txt", "nothing of the kind"),
	}
	at := webtest.Value[[]float64](l.T, l.tab, `(() => { const b = document.getElementById("drop").getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2] })()`)
	for _, kind := range []input.DispatchDragEventType{input.DispatchDragEventTypeDragEnter, input.DispatchDragEventTypeDragOver, input.DispatchDragEventTypeDrop} {
		l.do(chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
			_, err := cdp.Call(ctx, tab, input.DispatchDragEvent, input.DispatchDragEventParams{Type: kind, X: at[0], Y: at[1], Data: &input.DragData{Items: []*input.DragDataItem{}, Files: files, DragOperationsMask: 1}})
			return err
		}))
	}
	l.sees("Files not in the audit yet")
	l.wait(`document.querySelectorAll("[data-task]").length === 0 && document.querySelectorAll("main tbody tr").length === 3`)
	assert.Equal(l, "ready to accept, ready to accept, unreadable", webtest.Value[string](l.T, l.tab, `[...document.querySelectorAll("main tbody td:nth-child(2)")].map((c) => c.textContent.trim()).join(", ")`))
	l.looks("several")
	l.press("own.csv")
	l.press("Accept and keep the records")
	l.sees("read before with the same answers: nothing was changed")
}

// A sheet with a name in it is refused, the name is nowhere on the page, and the copy
// that the page makes is read. The name is invented.
func mayIdentify(l *looker) {
	l.choose(l.sheetFile("named.csv", "case,patient name,course,tooth,movement,planned,achieved,attachment\nP1,Ada Whitfield,1,13,rotation,-10,-8,none\nP2,Mara Quill,1,13,rotation,12,8,none\n"))
	l.sees("This file may identify a person")
	l.looks("identifiers")
	assert.NotContains(l, webtest.Value[string](l.T, l.tab, "document.documentElement.outerHTML"), "Whitfield")
	l.sees("as for own.csv") // what was answered for another file stands proposed
	l.press("Read it with these answers")
	l.wait(`!document.querySelector('input[value="fdi"]')`)
	l.press("Pseudonymised copy")
	l.sees("A pseudonymised copy of named.csv")
	l.sees("2 movements")
}

func targetsAndRecords(l *looker) {
	l.part("cycle")
	l.looks("targets")
	l.do(chromedp.SendKeys(chromedp.CSS("#k0n"), "Rotation of canines"), chromedp.SendKeys(chromedp.CSS("#k0v"), "0.3"))
	l.press("Save")
	l.wait(`document.getElementById("k0n")?.value === "Rotation of canines" && !!document.getElementById("k2n")`) // one more line to fill in
	l.part("records")
	l.looks("records")
	l.press("2 rejected rows with the reasons")
	l.sees("Correct them in the spreadsheet")
	l.looks("rejected")
}

// What one window keeps, the other is told of; what both ask for is done once.
func twoTabs(l *looker) {
	ctx, end := chromedp.NewContext(l.tab)
	defer end()
	require.NoError(l.T, chromedp.Do(ctx)) // the tab lives as long as the context of its first action
	other := &looker{T: l.T, tab: ctx, w: l.w}
	other.do(webtest.Looks[0].As(), chromedp.Navigate(l.w.base+l.w.root+"/"))
	other.press("east")
	other.sees("4\u00a0files still open")
	other.looks("still open")
	other.press("Audit without them")
	other.sees("Period, clinician, tolerance")
	l.do(chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		_, err := cdp.Call(ctx, tab, page.BringToFront, cdp.Empty{})
		return err
	}))
	l.part("read")
	l.press("second.csv")
	l.press("Accept and keep the records")
	l.sees("The records are kept")
	webtest.Value[bool](l.T, other.tab, `dispatchEvent(new Event("visibilitychange"))`)
	other.wait(`!document.getElementById("changed").hidden`)
}

// From the start to an audit without a mouse.
func keyboardOnly(l *looker) {
	l.do(chromedp.Navigate(l.w.base + l.w.root + "/"))
	l.sees("New practice")
	focused := func(what string) {
		l.Helper()
		for range 60 {
			if strings.Contains(webtest.Value[string](l.T, l.tab, `((e) => e === document.body ? "" : e.id + " " + e.name + " " + e.textContent)(document.activeElement)`), what) {
				return
			}
			l.do(chromedp.KeyEvent(kb.Tab))
		}
		require.Fail(l.T, "cannot be reached by keyboard", what)
	}
	focused("Skip to the content")
	focused("name")
	l.do(chromedp.KeyEvent("keys" + kb.Enter))
	l.sees("Nothing was read into this practice yet")
	l.do(chromedp.SetUploadFiles(chromedp.CSS("#files"), []string{l.sheetFile("own.csv", dirty())}))
	focused("files")
	l.do(chromedp.KeyEvent(kb.Tab))
	l.do(chromedp.KeyEvent(kb.Enter))
	l.sees("What the file leaves open")
	focused("answer notation")
	l.do(chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowUp), chromedp.KeyEvent(kb.ArrowUp))
	assert.Contains(l, l.text(), "What the file leaves open", "a choice that the arrows pass over is no answer")
	l.do(chromedp.KeyEvent(" "))
	focused("Read it with these answers")
	l.do(chromedp.KeyEvent(kb.Enter))
	l.sees("How it was understood")
	focused("Accept and keep the records")
	l.do(chromedp.KeyEvent(kb.Enter))
	l.sees("The records are kept")
}

// A case code of the records with none of their movements: whose cases these are is asked,
// and answered without a mouse.
func clash(l *looker) {
	l.choose(l.sheetFile("other.csv", strings.NewReplacer("rotation", "torque").Replace(dirty())))
	l.wait(`document.querySelector("fieldset, #understood") !== null`)
	if strings.Contains(l.text(), "What the file leaves open") {
		l.press("Read it with these answers")
	}
	l.sees("How it was understood")
	l.press("Accept and keep the records")
	l.sees("Whose cases are these?")
	l.looks("whose")
	assert.Contains(l, l.text(), "Nothing of the file was kept yet")
	l.do(chromedp.Focus(chromedp.CSS(`input[name="cases"][value=""]`)), chromedp.Focus(chromedp.CSS("#code")), chromedp.KeyEvent("WEST"+kb.Enter))
	l.sees("The records are kept")
	l.part("records")
	l.sees("of practice WEST")
}

// The whole report is accessible in every look, at its beginning and of its kinds.
func fullReport(l *looker) {
	l.part("audit/full")
	if strings.Contains(l.text(), "still open") {
		l.press("Audit without them")
	}
	l.sees("Back to the short report")
	webtest.Value[bool](l.T, l.tab, rest)
	l.looks("full report")
}

// A task that ends while a click is on its way must not load the page again: that would
// call the click back. One whose box was replaced meanwhile must not either; a click that
// led nowhere keeps nobody waiting.
func clickAsATaskEnds(l *looker) {
	for _, c := range []struct{ click, then string }{
		{`document.querySelector("a").click()`, `document.title === "there"`},
		{`document.querySelector("div").replaceWith("what came of it")`, `document.title === "here 1"`},
		{`document.querySelector("a[href='/file']").click()`, `document.title === "here 2"`},
	} {
		asked, ends := make(chan bool, 100), make(chan bool)
		site := httptest.NewServer(beside(asked, ends))
		l.do(chromedp.Navigate(site.URL + "/here"))
		<-asked
		webtest.Value[bool](l.T, l.tab, c.click+"; true")
		close(ends)
		if strings.Contains(c.then, "1") {
			time.Sleep(500 * time.Millisecond) // in which it would be loaded again
		}
		l.wait(c.then)
		site.Close()
	}
}

// beside is a page with a task, which tells how often it was loaded, and links to a slow
// page and to a file.
func beside(asked, ends chan bool) http.HandlerFunc {
	loads := 0
	return func(a http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/here":
			loads++
			a.Header().Set("Content-Type", "text/html")
			fmt.Fprintf(a, `<title>here %d</title><a href="/there">go</a><a href="/file">file</a><div data-task="1"><span class="step"></span><progress></progress></div>
				<script type="module">import { tasks } from "/assets/tasks.js"; tasks();</script>`, loads)
		case "/there":
			time.Sleep(time.Second) // longer than the page waits between two looks at its task
			a.Header().Set("Content-Type", "text/html")
			fmt.Fprint(a, "<title>there</title>")
		case "/file":
			a.Header().Set("Content-Disposition", "attachment")
		case "/jobs/1":
			asked <- true
			<-ends
			fmt.Fprint(a, `{"ended":true}`)
		default:
			http.FileServerFS(assetFiles).ServeHTTP(a, r)
		}
	}
}
