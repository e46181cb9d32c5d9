package page

import (
	"archive/zip"
	"html"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/declare"
	"shortfall/cmd/page/targets"
	"shortfall/report"
	"shortfall/report/web/webtest"
)

// The form writes the file that the command line reads, the version before stays beside
// it, a fault keeps what was typed, and the audit answers the targets.
func testTargetsOfAForm(t *testing.T, w *window, p string) {
	path := w.home.Folder() + "/invented sample.criteria.toml"
	page, _ := w.post(p+"/cycle", "criterion 0 name", "Extrusion", "criterion 0 measure", "outside tolerance", "criterion 0 direction", "extrusion", "criterion 0 value", "lots")
	assert.Contains(t, page, "a number such as 0.3")
	assert.Contains(t, page, `value="Extrusion"`, "nothing typed is lost")
	assert.NoFileExists(t, path)
	fields := []string{
		"criterion 0 name", "Extrusion", "criterion 0 measure", "outside tolerance", "criterion 0 direction", "extrusion", "criterion 0 value", "30 %", "criterion 0 side", "at_most",
		"criterion 0 baseline", "2024 Q1, 2024 Q2, 2024 Q3, 2024 Q4", "criterion 1 name", "",
		"change 0 description", "staged", "change 0 month", "2025-06", "action 0 what", "review", "action 0 due", "2026-12", "action 0 criterion", "Extrusion",
		"primary direction", "extrusion", "primary declared", "2026-01",
	}
	page, _ = w.post(p+"/cycle", "criterion 0 name", "Extrusion", "criterion 0 measure", "outside tolerance", "criterion 0 value", "65", "criterion 0 side", "at_most")
	assert.Contains(t, page, "The form: ", "a share of 65")
	assert.NotContains(t, page, "Saved.")
	page, _ = w.post(p+"/cycle", fields...)
	assert.Contains(t, page, "Saved.")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	c, err := declare.ParseCriteria("criteria.toml", data)
	require.NoError(t, err)
	assert.Len(t, c.Criteria, 1)
	assert.Len(t, c.Changes, 1)
	assert.InDelta(t, 0.3, *c.Criteria[0].AtMost, 0)
	assert.Contains(t, page, `value="30 %"`, "a share comes back as it was typed")
	for measure, least := range map[string]bool{"expression": true, "outside tolerance": false, "cases refined": false} {
		c, err := targets.Of(url.Values{"criterion 0 name": {"x"}, "criterion 0 measure": {measure}, "criterion 0 value": {"65 %"}, "criterion 0 side": {""}})
		require.NoError(t, err)
		assert.Equal(t, least, c.Criteria[0].AtLeast != nil, "%s: no side was chosen", measure)
		assert.Equal(t, "65 %", targets.Text(c.Criteria[0]))
	}
	w.post(p+"/cycle", append(fields, "action 1 what", "more")...)
	before, err := os.ReadFile(w.home.Folder() + "/invented sample.criteria.before.toml")
	require.NoError(t, err)
	assert.Equal(t, data, before)

	w.untilJob(p + "/audit")
	standing := w.see(p + "/cycle")
	assert.Contains(t, standing, "Criteria declared in")
	quarter := regexp.MustCompile(`href="(/p/[^"]*begun=[^"]*)"`).FindStringSubmatch(standing)
	require.NotNil(t, quarter, "a quarter of the run chart can be entered")
	assert.Contains(t, w.see(html.UnescapeString(quarter[1])), "courses begun in")
}

// leftFile is the one that takes longest: TestEveryLinkLeadsSomewhere fetches it.
const leftFile = "full-report.pdf"

// An audit that was kept is set against; every file that is offered is what it is called.
func testKeptAuditAndFiles(t *testing.T, w *window, p string) {
	w.untilJob(p + "/audit")
	page, at := w.post(p+"/audits", "settings", "")
	assert.True(t, strings.HasSuffix(at, "/cycle"), at)
	since := regexp.MustCompile(`href="(/p/[^"]*audit\?since=[^"]*)"`).FindStringSubmatch(page)
	require.NotNil(t, since)
	assert.NotContains(t, w.untilJob(html.UnescapeString(since[1])), `class="caution" role="alert">`)
	_, status := w.get(p + "/audit/files/results.json?since=..%2f..%2fclinic.json")
	assert.Equal(t, 400, status)

	begins := map[string]string{"one-page.pdf": "%PDF-", "report.pdf": "%PDF-", "report.html": "<!doctype html>", "tables.xlsx": "PK", "results.json": "{", "figures.zip": "PK"}
	files := map[string]string{}
	for _, f := range renderings {
		if f.Name != leftFile {
			files[f.Name] = w.untilJob(p + "/audit/files/" + f.Name)
			assert.True(t, begins[f.Name] != "" && strings.HasPrefix(files[f.Name], begins[f.Name]), f.Name)
		}
	}
	assert.Regexp(t, `^attachment; filename="results_[A-Za-z0-9-]+_20\d\dQ\d-20\d\dQ\d_20\d\d-\d\d(-\d\d)?_invented\.json"$`, w.asks("GET", p+"/audit/files/results.json", nil, true).Header.Get("Content-Disposition"), "whose, of what time, and made when")
	z := files["figures.zip"]
	list, err := zip.NewReader(strings.NewReader(z), int64(len(z)))
	require.NoError(t, err)
	assert.Greater(t, len(list.File), 3)
	r, err := report.ReadJSON(strings.NewReader(files["results.json"]))
	require.NoError(t, err)
	assert.True(t, r.Provenance.Invented)
}

// Settings of the address are those of the audit; what leaves the practice cannot be
// entered; what makes no sense is said on the page.
func testSettingsOfAnAudit(t *testing.T, w *window, p string) {
	page := w.untilJob(p + "/audit?shared=yes&tolerance-mm=0%2C7")
	assert.Contains(t, page, "Made to leave the practice")
	assert.NotContains(t, page, "/audit/behind")
	assert.Contains(t, page, `name="tolerance-mm" inputmode="decimal" value="0.7"`)
	_, status := w.get(p + "/audit/behind?shared=yes&tolerance-mm=0%2C7&direction=extrusion")
	assert.Equal(t, 400, status)
	page = w.untilJob(p + "/audit?quarter=Q2+2026")
	assert.Contains(t, page, "2026\u00a0Q2 (")
	for _, unit := range []string{"millimetres", "degrees"} {
		assert.Regexp(t, `Of all planned `+unit+` in first sets \d+.{1,2}% .{1,60} was achieved in 2026.Q2, \d+.{1,2}% .{1,80} before`, page, "the quarter's own numbers, beside before")
	}
	assert.Contains(t, page, `<option value="2026 Q3">`)
	assert.NotContains(t, page, "No course with a measured outcome ended")
	assert.Contains(t, w.untilJob(p+"/audit?quarter=2031Q1"), "No course with a measured outcome ended in 2031 Q1; the last quarter in which a case ended is 2026 Q3.")
	w.untilJob(p + "/audit?quarter=Q2+2026")
	if webtest.Long() {
		time.Sleep(coarsest + 100*time.Millisecond) // made when the records were new, and good no longer
	}
	for query, want := range map[string]string{
		"quarter=soon": "a quarter is written", "from=2026": "is written 2026-07", "clinician=NOBODY": "no case of clinician", "tolerance-deg=-1": "toleran",
	} {
		page := w.untilJob(p + "/audit?" + query)
		assert.Contains(t, page, `role="alert"`, query)
		assert.Contains(t, page, want, query)
		assert.Contains(t, page, "Below stands the audit that was here before", query)
		assert.Contains(t, page, "2026\u00a0Q2 (", query)
	}
}

// Records: a file is taken out with a reason and read again, a case removed and taken
// back, a copy made and put back.
func TestRecordsOfAPractice(t *testing.T) {
	t.Parallel()
	w := open(t)
	p := w.begin("east")
	w.keeps(p, file{"own.csv", openSheet})
	page := w.see(p + "/records")
	sha := regexp.MustCompile(`name="sha" value="([0-9a-f]{64})"`).FindStringSubmatch(page)
	require.NotNil(t, sha)

	page, _ = w.post(p + "/backup")
	if !strings.Contains(page, "Put back") {
		page = w.until(p+"/records", "Put back")
	}
	name := regexp.MustCompile(`name="copy" value="([^"]+)"`).FindStringSubmatch(page)
	require.NotNil(t, name)

	_, status, _ := w.send("POST", p+"/records/case", "application/x-www-form-urlencoded", strings.NewReader("id=K1"))
	assert.Equal(t, 400, status, "a removal has a reason")
	page, _ = w.post(p+"/records/case", "id", "K1", "reason", "asked by the patient")
	assert.Contains(t, page, "asked by the patient")
	page, _ = w.post(p+"/records/case", "id", "K1", "restore", "yes")
	assert.NotContains(t, page, "asked by the patient")
	assert.Contains(t, w.see(p+"/records/case?id=K1"), "own.csv, sheet")

	page, _ = w.post(p+"/records/file", "sha", sha[1], "reason", "the wrong sheet")
	if !strings.Contains(page, "Files taken out") {
		page = w.until(p+"/records", "Files taken out")
	}
	assert.Contains(t, page, "No file is in the records")
	assert.Contains(t, page, "own.csv: the wrong sheet", "the reason is shown with the file")
	assert.Contains(t, page, "Undo the last removal")
	undo := regexp.MustCompile(`action="[^"]*/putback"><input type="hidden" name="copy" value="([^"]+)"><input type="hidden" name="undo" value="yes"><p><button>Undo`)
	before := undo.FindStringSubmatch(page)
	require.NotNil(t, before)
	page, at := w.post(p+"/putback", "copy", before[1], "undo", "yes")
	if strings.Contains(at, "/jobs/") {
		page = w.untilJob(at + "?to=" + url.QueryEscape(p+"/records?undone=yes"))
	}
	assert.Contains(t, page, "Undone.")
	page = w.until(p+"/records", "own.csv")
	assert.NotContains(t, page, "Files taken out", "undone")
	w.post(p+"/records/file", "sha", sha[1], "reason", "the wrong sheet")
	before = undo.FindStringSubmatch(w.until(p+"/records", "Files taken out"))
	_, at = w.give(p, file{"own.csv", openSheet})
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	assert.NotContains(t, w.see(p+"/records"), "Files taken out", "it was read again")
	_, status, _ = w.send("POST", p+"/putback", "application/x-www-form-urlencoded", strings.NewReader("undo=yes&copy="+url.QueryEscape(before[1])))
	assert.Equal(t, 400, status, "what came after the removal is not lost")
	w.post(p+"/putback", "copy", name[1])
	w.until(p+"/records", "own.csv")
	_, status, _ = w.send("POST", p+"/putback", "application/x-www-form-urlencoded", strings.NewReader("copy=..%2f..%2fetc%2fpasswd"))
	assert.Equal(t, 400, status, "only copies of the list")
}
