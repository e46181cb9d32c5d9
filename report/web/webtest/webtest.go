// Package webtest drives headless Chromium over pages and looks at them with axe-core
// (Deque Systems, npm axe-core 4.14), for the tests of everything that writes HTML.
//
// Place in the pipeline: none; imported by tests alone.
package webtest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Look is a way in which a page is looked at.
type Look struct {
	Name  string
	Width int // CSS pixels
	Dark  bool
}

// Looks that every page is held to; 320 pixels are what WCAG 2.2 asks of reflow (1.4.10).
// Everyday it is the first two, which have every width and colour, and all with
// SHORTFALL_LONG.
var Looks = []Look{{"light", 1280, false}, {"narrow and dark", 320, true}, {"dark", 1280, true}, {"narrow", 390, false}}

const everyday = 2

// Long reports whether tests are asked for all of what everyday they do a part of.
func Long() bool { return os.Getenv("SHORTFALL_LONG") != "" }

// patience with one page: what never comes fails, however busy the machine.
const patience = 5 * time.Minute

// Tab opens a tab of a browser of its own, which ends with the test. Where there is no
// Chromium the test is skipped.
func Tab(t testing.TB, options ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			path = found
			break
		}
	}
	if path == "" {
		t.Skip("needs Chromium (Debian: apt-get install chromium)")
	}
	all := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.WSURLReadTimeout(patience))
	alloc, end := chromedp.NewExecAllocator(context.Background(), append(all, options...)...)
	t.Cleanup(end)
	ctx, closeTab := chromedp.NewContext(alloc)
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx) // waits for the browser to go, so that its folder can
		closeTab()
	})
	require.NoError(t, chromedp.Do(ctx))
	return ctx
}

// Do runs actions in a tab, within the patience with one page.
func Do(t testing.TB, tab context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	require.NoError(t, chromedp.Do(ctx, actions...))
}

// Value of an expression in the page; a promise is waited for.
func Value[T any](t testing.TB, tab context.Context, expression string) T {
	t.Helper()
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	return v
}

// Wait until an expression of the page is true.
func Wait(t testing.TB, tab context.Context, expression string) {
	t.Helper()
	require.Eventually(t, func() bool { return Value[bool](t, tab, expression) }, patience, 20*time.Millisecond, expression)
}

// Downloads go to a folder of the test.
func Downloads(t testing.TB, tab context.Context) string {
	t.Helper()
	dir := t.TempDir()
	Do(t, tab, chromedp.Func(func(ctx context.Context, at *chromedp.Target) error {
		_, err := cdp.Call(ctx, at, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir})
		return err
	}))
	return dir
}

// Printed is the page as the browser prints it, a PDF.
func Printed(t testing.TB, tab context.Context) (pdf []byte) {
	t.Helper()
	Do(t, tab, chromedp.Func(func(ctx context.Context, at *chromedp.Target) error {
		made, err := cdp.Call(ctx, at, page.PrintToPDF, page.PrintToPDFParams{})
		if err == nil {
			pdf = made.Data
		}
		return err
	}))
	return pdf
}

// As sets the width of the window and the colours that its user prefers.
func (l Look) As() chromedp.Action[chromedp.Void] {
	scheme := "light"
	if l.Dark {
		scheme = "dark"
	}
	return chromedp.Steps(chromedp.EmulateViewport(int64(l.Width), 900), chromedp.Func(func(ctx context.Context, at *chromedp.Target) error {
		_, err := cdp.Call(ctx, at, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return err
	}))
}

// The rules of WCAG 2.2 AA with the best practices of axe; and those of them whose answer
// can change with the width and the colours, which every look but the first is held to.
const (
	allRules  = `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]`
	lookRules = `{type: "rule", values: ["color-contrast", "target-size", "scrollable-region-focusable", "link-in-text-block", "skip-link"]}`
	axeRun    = `axe.run(document, {runOnly: %s, rules: {"target-size": {enabled: true}}, resultTypes: ["violations"]}).then((r) => JSON.stringify({
	passes: r.passes.length,
	found: r.violations.map((v) => v.id + ": " + v.help + " " + v.nodes.slice(0, 3).map((n) => n.html + " " + n.failureSummary).join(" | "))}))`
)

// faint lists the lettering of figures with a contrast of less than 4.5 to 1 (WCAG 2.2,
// 1.4.3) to the last shape drawn beneath its middle, or to the page; axe-core does not
// look into drawings.
const faint = `(() => {
	const parse = (c) => (c.match(/[\d.]+/g) || []).map(Number);
	const light = ([r, g, b]) => [r, g, b].map((v) => v / 255).map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4).reduce((s, v, i) => s + v * [0.2126, 0.7152, 0.0722][i], 0);
	const contrast = (a, b) => { const [x, y] = [light(a), light(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
	const paper = parse(getComputedStyle(document.body).backgroundColor), out = [];
	document.querySelectorAll("svg").forEach((svg) => {
		const shapes = [];
		svg.querySelectorAll("rect, circle, polygon, text").forEach((e) => {
			if (e.closest("clipPath") || e.tagName === "text" && e.textContent.trim() === "") { return; }
			const fill = getComputedStyle(e).fill;
			if (e.tagName !== "text") { if (fill !== "none") { shapes.push([e, parse(fill)]); } return; }
			const b = e.getBBox(), middle = svg.createSVGPoint();
			middle.x = b.x + b.width / 2; middle.y = b.y + b.height / 2;
			const under = shapes.findLast(([s]) => s.isPointInFill(middle));
			const ratio = contrast(parse(fill), under ? under[1] : paper);
			if (ratio < 4.5) { out.push(e.textContent + " " + fill + " on " + (under ? under[1] : paper) + ": " + ratio.toFixed(2)); }
		});
	});
	return out;
})()`

// Accessible looks at the page that is open in the tab, in every look, and fails for
// each violation that axe-core finds, for faint lettering in a figure and for a page that
// scrolls sideways.
func Accessible(t testing.TB, tab context.Context, what string) {
	t.Helper()
	script := axe(t)
	Value[bool](t, tab, script+"; true")
	looks := Looks
	if !Long() {
		looks = Looks[:everyday]
	}
	for i, look := range looks {
		rules, least := lookRules, 1
		if i == 0 {
			rules, least = allRules, 10
		}
		Do(t, tab, look.As())
		var got struct {
			Passes int
			Found  []string
		}
		require.NoError(t, json.Unmarshal([]byte(Value[string](t, tab, fmt.Sprintf(axeRun, rules))), &got))
		assert.GreaterOrEqual(t, got.Passes, least, "%s, %s: axe looked at something", what, look.Name)
		assert.Empty(t, got.Found, "%s, %s", what, look.Name)
		assert.Empty(t, Value[[]string](t, tab, faint), "%s, %s: lettering of figures", what, look.Name)
		assert.LessOrEqual(t, Value[int](t, tab, "document.documentElement.scrollWidth"), look.Width, "%s, %s: the page scrolls sideways", what, look.Name)
	}
}

// NeedsAxe skips a test whose parts build on each other where axe-core is missing.
func NeedsAxe(t testing.TB) {
	t.Helper()
	axe(t)
}

// axe finds the script of axe-core.
func axe(t testing.TB) string {
	t.Helper()
	for _, path := range []string{os.Getenv("AXE_CORE"), up(".ci/node_modules/axe-core/axe.min.js")} {
		if b, err := os.ReadFile(path); err == nil && path != "" {
			return string(b)
		}
	}
	t.Skip("needs axe-core (npm install --prefix .ci axe-core, or AXE_CORE=path of axe.min.js)")
	return ""
}

// up looks for a file in the working directory and those above it.
func up(name string) string {
	dir, err := os.Getwd()
	for err == nil {
		path := filepath.Join(dir, name)
		if _, missing := os.Stat(path); missing == nil || dir == filepath.Dir(dir) {
			return path
		}
		dir = filepath.Dir(dir)
	}
	return ""
}
