package page

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/page/queue"
	"shortfall/report/web/webtest"
)

// auditedMovements the whole sample, as the audit says it; everyday of its everydayCases.
func auditedMovements() string {
	if webtest.Long() {
		return "5.048.movements of 147"
	}
	return "1.746.movements of 52"
}

// sample opens the invented practice and its audit.
func sample(t *testing.T) (w *window, practice string) {
	t.Helper()
	w = openInvented(t)
	page, at := w.post("/demo")
	if strings.Contains(at, "/jobs/") {
		practice = at[:len("/p/000000000000")]
		w.untilJob(at)
	} else {
		require.Contains(t, page, "Audit")
		practice = strings.TrimSuffix(at, "/audit")
	}
	if !webtest.Long() { // what is computed of records that were written long ago need not be again
		path := filepath.Join(w.home.Folder(), demoName+".db")
		old := time.Now().Add(-time.Hour)
		require.NoError(t, os.Chtimes(path, old, old))
	}
	return w, practice
}

// untilJob waits for what a page waits for, and gives the page it leads to.
func (w *window) untilJob(at string) string {
	w.Helper()
	for begun, n := time.Now(), 0; time.Since(begun) < patience; n = pause(n) {
		page := w.see(at)
		if !strings.Contains(page, "data-task") {
			return page
		}
	}
	require.Fail(w, "never ended", at)
	return ""
}

// TestOnTheSample looks at one practice in turn, the invented one, which is read and audited
// once; what changes its settings comes last.
func TestOnTheSample(t *testing.T) {
	t.Parallel()
	w, p := sample(t)
	for _, c := range []struct {
		name string
		run  func(*testing.T, *window, string)
	}{
		{"AuditAndWhatIsBehindIt", testAuditAndWhatIsBehindIt},
		{"FiguresOfTheFullReportCanBeEntered", testFiguresOfTheFullReportCanBeEntered},
		{"SettingsOfAnAudit", testSettingsOfAnAudit},
		{"KeptAuditAndFiles", testKeptAuditAndFiles},
		{"PaperOfThePractice", testPaperOfThePractice},
		{"TargetsOfAForm", testTargetsOfAForm},
	} {
		t.Run(c.name, func(t *testing.T) {
			here := *w
			here.T = t
			c.run(t, &here, p)
		})
	}
}

func testAuditAndWhatIsBehindIt(t *testing.T, w *window, p string) {
	page := w.untilJob(p + "/audit")
	links := regexp.MustCompile(`<a href="(/p/[^"]*/audit/(?:behind|cases|flow)\?[^"]*)"`).FindAllStringSubmatch(page, -1)
	require.Greater(t, len(links), 30, "figures can be entered")
	seen := map[string]bool{}
	for _, l := range links {
		to := strings.ReplaceAll(l[1], "&amp;", "&")
		kind := regexp.MustCompile(`axis=|direction=|refinements=|followed=|/flow`).FindString(to)
		if seen[kind] {
			continue
		}
		seen[kind] = true
		behind := w.untilJob(to)
		assert.NotContains(t, behind, "0 movements", to)
		assert.Contains(t, behind, "/case?", to)
		c := regexp.MustCompile(`href="(/p/[^"]*/case\?[^"]*)"`).FindStringSubmatch(behind)
		assert.Contains(t, w.untilJob(strings.ReplaceAll(c[1], "&amp;", "&")), "For discussion")
	}
	assert.Len(t, seen, 5)
	assert.Contains(t, w.untilJob(p+"/audit/behind?direction=extrusion&course=initial"), "Checks")

	// Every datum of every figure leads to what is behind it, in the full report too.
	full := w.untilJob(p + "/audit/full")
	for _, page := range []string{page, full} {
		all := regexp.MustCompile(`(.)<g data-key="([^"]*)"`).FindAllStringSubmatch(strings.ReplaceAll(page, "\n", " "), -1)
		require.NotEmpty(t, all)
		for _, m := range all {
			assert.Equal(t, ">", m[1], "%s leads nowhere", m[2])
		}
	}
}

// Every figure can be entered, or says why it leads no further.
func testFiguresOfTheFullReportCanBeEntered(t *testing.T, w *window, p string) {
	full := w.untilJob(p + "/audit/full")
	figures := regexp.MustCompile(`(?s)<figure id="([^"]*)">(.*?)</figure>`).FindAllStringSubmatch(full, -1)
	require.Greater(t, len(figures), 10)
	ends := 0
	for _, f := range figures {
		if strings.Contains(f[2], "lead no further") || strings.Contains(f[2], "no case is behind it") {
			ends++
			continue
		}
		assert.Regexp(t, `<a href="/p/[^"]*/(audit/(behind|cases|flow)\?|records)`, f[2], f[1])
	}
	assert.Equal(t, 2, ends)
	for what, says := range map[string]string{
		`/audit/flow\?left=`: "not measured|below|nothing|cut short", `/audit/flow\?flow=`: auditedMovements(), `/audit/cases\?followed=`: "Cases followed from their start",
		`/audit/behind\?[^"]*planned-below=`: "plans of one size", `/audit/behind\?[^"]*tooth_class=`: "movements",
	} {
		to := regexp.MustCompile(`href="(/p/[^"]*`+what+`[^"]*)"`).FindAllStringSubmatch(full, -1)
		require.NotEmpty(t, to, what)
		seen := ""
		for i, m := range to {
			if i == 4 && strings.Contains(what, "behind") && !webtest.Long() {
				break // the others are of the same kind
			}
			seen += w.untilJob(strings.ReplaceAll(m[1], "&amp;", "&"))
		}
		assert.Regexp(t, "(?i)"+says, seen, what)
		assert.NotContains(t, seen, ">0 movements of", what)
	}
	for _, wrong := range []string{"", "?flow=0", "?flow=99", "?left=x", "?flow=-1"} {
		page, status := w.get(p + "/audit/flow" + wrong)
		for begun := time.Now(); strings.Contains(page, "data-task") && time.Since(begun) < patience; { // the audit is made anew
			time.Sleep(50 * time.Millisecond)
			page, status = w.get(p + "/audit/flow" + wrong)
		}
		assert.Equal(t, 404, status, wrong)
	}
	path := regexp.MustCompile(`href="(/p/[^"]*had=[^"]*)"`).FindStringSubmatch(full)
	require.NotNil(t, path)
	assert.Contains(t, w.untilJob(strings.ReplaceAll(path[1], "&amp;", "&")), "Each stands in two rows")
}

// A practice prints on the paper it has: what was chosen holds for every PDF to come.
func testPaperOfThePractice(t *testing.T, w *window, p string) {
	w.untilJob(p + "/audit")
	// ISO 216 A4 is 210 x 297 mm, ANSI A (Letter) 8.5 x 11 in = 612 x 792 pt.
	assert.Contains(t, w.untilJob(p+"/audit/files/one-page.pdf"), "/MediaBox [0 0 595.28 841.89]")
	page, at := w.post(p+"/paper", "paper", "letter", "back", p+"/audit?tolerance-mm=1")
	assert.Regexp(t, "^"+p+"/(audit$|jobs/)", at, "by way of a task, where computing takes a moment")
	assert.Contains(t, w.untilJob(p+"/audit")+page, "made for Letter paper")
	assert.Contains(t, w.untilJob(p+"/audit/files/one-page.pdf"), "/MediaBox [0 0 612.00 792.00]")
	assert.Contains(t, w.see(p+"/case.pdf?practice=MOONQUAY&id=MQ-001"), "/MediaBox [0 0 612.00 792.00]")
	_, status, _ := w.send("POST", p+"/paper", "application/x-www-form-urlencoded", strings.NewReader("paper=../../x"))
	assert.Equal(t, 400, status)
}

// An audit that was made when the records were new, and is good no longer, is made anew where
// it is asked for, and is still the one that stays on the page beside a failure.
func TestAuditThatIsGoodNoLonger(t *testing.T) {
	path := filepath.Join(t.TempDir(), "east.db")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	p := &practice{Path: path}
	stamp, settled, err := p.stamp()
	require.NoError(t, err)
	assert.False(t, settled, "it was written just now")
	p.audits = []*audited{{key: stamp + " as asked", until: time.Now().Add(time.Minute)}}
	assert.NotNil(t, p.atHand(wanted{key: "as asked"}))
	p.audits[0].until = time.Now().Add(-time.Millisecond)
	assert.Nil(t, p.atHand(wanted{key: "as asked"}))
	assert.Same(t, p.audits[0], p.lastAudit())
	p.audits[0].key = "of other records as asked"
	assert.Nil(t, p.lastAudit())
}

// A failure that a page waited for is told once by the page of the audit, and by no other;
// what was stopped, or told before, is tried anew.
func TestUntoldFailures(t *testing.T) {
	q := queue.New(t.Context())
	ended := func(err error) *queue.Task {
		task, e := q.Put("auditing", func(context.Context, *queue.Task) error { return err })
		require.NoError(t, e)
		require.True(t, task.Within(patience))
		return task
	}
	s, p, want := &server{queue: q}, &practice{}, wanted{key: "as asked"}
	asked := func(t *testing.T) *queue.Task {
		task, err := s.auditing(p, want)
		require.NoError(t, err)
		require.True(t, task.Within(patience))
		return task
	}
	refused := ended(errors.New("refused"))
	begin := func() { p.making = map[string]*queue.Task{want.key: refused} }

	begin()
	assert.NotSame(t, refused, asked(t), "nobody waited for it")
	begin()
	assert.False(t, p.tells(refused, p.path()+"/audit/full"))
	assert.NotSame(t, refused, asked(t), "told by another page")
	begin()
	assert.True(t, p.tells(refused, p.path()+"/audit?quarter=soon"))
	assert.Same(t, refused, asked(t))
	assert.NotSame(t, refused, asked(t), "told before")

	refused = ended(context.Canceled)
	begin()
	assert.False(t, p.tells(refused, p.path()+"/audit"))
	assert.NotSame(t, refused, asked(t), "stopped")
}
