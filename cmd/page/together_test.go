package page

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/page/trail"
	"shortfall/ingest"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
	"shortfall/report/web/webtest"
	"shortfall/sampledata"
)

// database of the practice, opened as the command line does.
func (w *window) database(name string) store.Store {
	w.Helper()
	db, err := sqlite.Open(w.Context(), filepath.Join(w.home.Folder(), name+".db"))
	require.NoError(w, err)
	return db
}

// What is read, asked and kept through the page is what the command line gives.
func TestKeptAsByTheCommandLine(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"own.csv", openSheet})
	page := w.until(at, "What the file leaves open")
	assert.Contains(t, page, `name="answer positive rotation"`)
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	require.NoError(t, w.end())

	path := filepath.Join(t.TempDir(), "own.csv")
	require.NoError(t, os.WriteFile(path, []byte(openSheet), 0o600))
	batch, err := ingest.Read(t.Context(), path, ingest.Options{Answers: map[string]string{"positive": "usual"}})
	require.NoError(t, err)
	other, err := sqlite.OpenTemp(t.Context())
	require.NoError(t, err)
	defer other.Close()
	_, err = other.Import(t.Context(), batch, store.Choices{})
	require.NoError(t, err)
	mine := w.database("east")
	defer mine.Close()
	want, err := other.Load(t.Context())
	require.NoError(t, err)
	got, err := mine.Load(t.Context())
	require.NoError(t, err)
	assert.Equal(t, want, got)
	entries, err := os.ReadDir(w.home.Folder())
	require.NoError(t, err)
	for _, e := range entries {
		assert.NotContains(t, e.Name(), "own", "nothing of the file stays but its records")
	}
}

// Two windows accept the same file at once: its records are kept once.
func TestAcceptedTwiceAtOnce(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	sheet := strings.Replace(openSheet, "none", "software", 1)
	_, at := w.give(p, file{"own.csv", sheet})
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	done := make(chan int, 2)
	for range 2 {
		go func() {
			_, status, _ := w.send(http.MethodPost, at+"/keep", "application/x-www-form-urlencoded", strings.NewReader(""))
			done <- status
		}()
	}
	assert.Equal(t, []int{200, 200}, []int{<-done, <-done})
	page := w.until(at, "The records are kept")
	assert.NotContains(t, page, "read before")
	_, again := w.give(p, file{"own.csv", sheet}) // dropped once more
	w.until(again, "How it was understood")
	w.post(again + "/keep")
	assert.Contains(t, w.until(again, "The records are kept"), "nothing was changed")
}

// A database that the command line changes while a page is open is shown as it is.
func TestChangedByTheCommandLine(t *testing.T) {
	t.Parallel()
	w := open(t)
	p := w.begin("east")
	w.keeps(p, file{"own.csv", openSheet})
	before := w.untilJob(p + "/audit")
	stamp := func(page string) string {
		_, rest, _ := strings.Cut(page, `data-stamp="`)
		at, _, _ := strings.Cut(rest, `"`)
		return at
	}
	db := w.database("east")
	defer db.Close()
	list, err := db.Cases(t.Context())
	require.NoError(t, err)
	require.NoError(t, db.RemoveCase(t.Context(), list[0].CaseKey, "moved away"))
	said, _, _ := w.send(http.MethodPost, "/here", "application/x-www-form-urlencoded", strings.NewReader("window=a&practice="+strings.Split(p, "/")[2]))
	assert.NotContains(t, said, stamp(before), "an open window is told")
	after := w.untilJob(p + "/audit")
	assert.NotEqual(t, stamp(before), stamp(after))
	assert.Contains(t, w.see(p+"/records"), "moved away")
	page, status := w.get(trail.CaseLink(p, list[0].CaseKey))
	assert.Equal(t, 404, status)
	assert.Contains(t, page, "may have been removed")
}

// The browser goes in the middle of an upload, or the program is ended in the middle of
// an import: nothing of the file is kept, and nothing of it stays behind. An import that a
// slow machine lets end first is kept whole.
func TestBrokenOff(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	conn, err := net.Dial("tcp", strings.TrimPrefix(w.base, "http://"))
	require.NoError(t, err)
	_, err = io.WriteString(conn, "POST "+w.root+p+"/files HTTP/1.1\r\nHost: "+strings.TrimPrefix(w.base, "http://")+"\r\nOrigin: "+w.base+"\r\nCookie: "+w.cookie()+
		"\r\nContent-Type: multipart/form-data; boundary=b\r\nContent-Length: 9999\r\n\r\n--b\r\nContent-Disposition: form-data; name=\"files\"; filename=\"half.csv\"\r\n\r\npatient,course")
	require.NoError(t, err)
	time.Sleep(50 * time.Millisecond)
	require.NoError(t, conn.Close())
	assert.NotContains(t, w.see(p+"/read"), "half.csv")

	_, at := w.give(p, file{"practice.xlsx", string(sampledata.Workbook)})
	w.untilJob(at)
	go func() { // the answer may never come
		r, err := http.NewRequest(http.MethodPost, w.base+w.root+at+"/keep", strings.NewReader("")) //nolint:noctx // cut off by the end of the server
		if err == nil {
			r.Header.Set("Origin", w.base)
			if answer, err := w.Do(r); err == nil {
				answer.Body.Close()
			}
		}
	}()
	time.Sleep(30 * time.Millisecond) // in the middle of the import, which takes several times that
	require.NoError(t, w.end())
	db := w.database("east")
	defer db.Close()
	files, err := db.Files(t.Context())
	require.NoError(t, err)
	records, err := db.Load(t.Context())
	require.NoError(t, err)
	if len(files) == 0 {
		assert.Empty(t, records.Movements, "rolled back")
		return
	}
	t.Log("the import had ended")
	whole, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	assert.Len(t, records.Movements, len(whole.Movements))
}

func (w *window) cookie() string {
	r, err := http.NewRequestWithContext(w.Context(), http.MethodGet, w.base+w.root+"/", nil)
	require.NoError(w, err)
	var out []string
	for _, c := range w.Jar.Cookies(r.URL) {
		out = append(out, c.String())
	}
	return strings.Join(out, "; ")
}

// A reading that is stopped leaves the file in work, to be read again or put away.
func TestStopped(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	var files []file
	for i := range 3 { // one is read while the others wait
		files = append(files, file{"practice.xlsx", string(sampledata.Workbook)})
		if i > 0 && !webtest.Long() {
			files[i] = file{"own.csv", openSheet}
		}
	}
	page, _ := w.give(p, files...)
	_, rest, _ := strings.Cut(page[strings.LastIndex(page, "data-task"):], `"`)
	id, _, _ := strings.Cut(rest, `"`)
	page, _ = w.post("/jobs/"+id+"/stop", "back", p+"/read")
	assert.Contains(t, page, "stopped")
	w.until(p+"/read/3", "stopped; nothing of it was kept")
	w.post(p + "/read/3/away")
	w.untilJob(p + "/read/2")
}

// Codes that stand in another spelling are asked about, a few of them by name, and the
// answer joins them.
func TestCodesInAnotherSpelling(t *testing.T) {
	w := open(t)
	p := w.begin("north")
	list := func(code string) string {
		text := "case,clinician,status,start month\n"
		for i := range 10 {
			text += fmt.Sprintf(code+",K1,completed,2025-01\n", i+1)
		}
		return text
	}
	_, at := w.give(p, file{"list.csv", list("C-%03d")})
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	_, at = w.give(p, file{"later.csv", list("c%d")})
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	page := w.until(at, "Whose cases are these?")
	assert.Contains(t, page, "c8 and 2 more")
	w.post(at+"/keep", "spelling", "same")
	w.until(at, "The records are kept")
	db := w.database("north")
	defer db.Close()
	cases, err := db.Cases(t.Context())
	require.NoError(t, err)
	assert.Len(t, cases, 10)
}
