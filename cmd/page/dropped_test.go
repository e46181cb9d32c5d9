package page

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/page/life"
	"shortfall/sampledata"
)

// The name of a new practice is proposed as the practice of cases of which a file names
// none, seen before it is kept; the next file gets the one on record, and what would name
// a person is proposed to nobody and taken from nobody.
func TestWhoseCases(t *testing.T) {
	w := open(t)
	p := w.begin("East Street")
	keep := func(name, sheet string) (page, at string) {
		_, at = w.give(p, file{name, sheet})
		if page := w.until(at, `<section`); strings.Contains(page, "What the file leaves open") {
			w.post(at+"/answers", "answer positive", "usual")
		}
		return w.until(at, "How it was understood"), at
	}
	proposed := func(page string) string {
		m := regexp.MustCompile(`name="code" value="([^"]*)"`).FindStringSubmatch(page)
		require.NotNil(t, m)
		return m[1]
	}
	page, at := keep("own.csv", openSheet)
	assert.Equal(t, "East Street", proposed(page))
	_, status, _ := w.send(http.MethodPost, at+"/keep", "application/x-www-form-urlencoded", strings.NewReader("code=born+4.5.1987"))
	assert.Equal(t, 400, status)
	w.post(at+"/keep", "code", "EAST")
	w.until(at, "The records are kept")
	page, _ = keep("more.csv", strings.ReplaceAll(openSheet, "K", "L"))
	assert.Equal(t, "EAST", proposed(page), "the only one on record")
	page, _ = keep("named.csv", strings.ReplaceAll(strings.ReplaceAll(openSheet, "patient,", "practice,patient,"), "\nK", "\nWEST,K"))
	assert.NotContains(t, page, `name="code"`, "the file names it")

	// What another file in work says of the same cases is proposed, and a person's word goes
	// before it.
	q := w.begin("south")
	w.give(q, file{"log.csv", "practice,case,status\nNORTH,K1,completed\n"})
	w.until(q+"/read/1", "How it was understood")
	_, at = w.give(q, file{"own.csv", openSheet})
	w.until(at, "What the file leaves open")
	w.post(at+"/answers", "answer positive", "usual")
	assert.Equal(t, "NORTH", proposed(w.until(at, "How it was understood")))
	w.post(at+"/keep", "code", "SOUTH")
	w.until(at, "The records are kept")
	assert.Contains(t, w.see(q+"/records"), "K1 of practice SOUTH")

	p = w.begin("Dr Ada Whitfield")
	page, _ = keep("own.csv", openSheet)
	assert.Equal(t, "DAW", proposed(page))
	assert.Contains(t, page, "could be that of a person")
}

// A file that was dropped and is still open is no part of an audit: somebody says so
// before one is shown or given out, and the audit says it too.
func TestAuditWithoutWhatIsOpen(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	w.keeps(p, file{"first.csv", openSheet})
	w.give(p, file{"own.csv", strings.ReplaceAll(openSheet, "K", "L")})
	for _, at := range []string{"/audit", "/audit/full", "/audit/files/report.pdf"} {
		page := w.see(p + at)
		assert.Contains(t, page, "1\u00a0file still open", at)
		assert.Contains(t, page, "own.csv", at)
		assert.NotContains(t, page, "%PDF", at)
	}
	w.post(p+"/without", "back", p+"/audit?tolerance-mm=0.7")
	assert.Contains(t, w.untilJob(p+"/audit"), "Not in this audit")
	assert.True(t, strings.HasPrefix(w.untilJob(p+"/audit/files/report.pdf"), "%PDF"))
	w.give(p, file{"second.csv", openSheet})
	assert.Contains(t, w.untilJob(p+"/audit"), "2\u00a0files still open", "another one is another decision")
	w.post(p + "/read/2/away")
	w.post(p + "/read/3/away")
	assert.NotContains(t, w.untilJob(p+"/audit"), "Not in this audit")
}

// What is kept names the files that are still open.
func TestKeptNamesWhatIsOpen(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	w.give(p, file{"own.csv", openSheet}, file{"second.csv", strings.ReplaceAll(openSheet, "K", "L")})
	at := p + "/read/1"
	w.until(at, "What the file leaves open")
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	assert.Contains(t, w.until(at, "The records are kept"), "Go on with second.csv")
}

// Whoever closes the browser in the middle of an import has its records whole: the import
// goes on without anybody looking.
func TestClosedInTheMiddleOfAnImport(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"practice.xlsx", string(sampledata.Workbook)})
	w.untilJob(at)
	ctx, gone := context.WithCancel(t.Context())
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, w.base+w.root+at+"/keep", strings.NewReader(""))
	require.NoError(t, err)
	r.Header.Set("Origin", w.base)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	sent := make(chan struct{})
	go func() {
		defer close(sent)
		if answer, err := w.Do(r); err == nil { // a machine that is slow to look may see the end alone
			answer.Body.Close()
		}
	}()
	for begun := time.Now(); time.Since(begun) < patience; time.Sleep(time.Millisecond) {
		if page := w.see(at); strings.Contains(page, "data-task") || strings.Contains(page, "The records are kept") {
			break // it is under way
		}
	}
	gone()
	<-sent
	page := w.until(at, "The records are kept")
	assert.NotContains(t, page, "nothing was changed")
	assert.Contains(t, w.see(p+"/records"), "practice.xlsx")
}

// A column is read as a person says, and its choice can be taken back.
func TestReadAsAPersonSays(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	sheet := "case,course,tooth,axis,planned,achieved,got,style\nQ1,1,43,rotation,-10,-8,-9,none\nQ2,1,43,rotation,-12,-6,-11,none\n"
	_, at := w.give(p, file{"own.csv", sheet})
	page := w.until(at, "How it was understood")
	ids := regexp.MustCompile(`name="(answer column [A-Z] of [^"]+)"`).FindAllStringSubmatch(page, -1)
	require.Len(t, ids, 8)
	w.post(at+"/answers", ids[5][1], "ignore", ids[6][1], "achieved", ids[0][1], "")
	w.until(at, "What the file leaves open")
	w.post(at+"/answers", "answer positive", "usual")
	page = w.until(at, "How it was understood")
	assert.Contains(t, page, ", 9 deg achieved")
	assert.Contains(t, page, `<option value="achieved" selected>`)
	w.post(at+"/answers", "forget", strings.TrimPrefix(ids[5][1], "answer "))
	w.post(at+"/answers", "forget", strings.TrimPrefix(ids[6][1], "answer "))
	assert.Contains(t, w.until(at, "How it was understood"), ", 8 deg achieved")
}

// While the invented sample is being read, its practice can be looked at.
func TestSampleBeingRead(t *testing.T) {
	w := open(t)
	ctx, end := context.WithCancel(t.Context())
	s := newServer(ctx, Options{Home: w.home}, t.TempDir())
	defer s.close()
	defer end()
	p, err := s.shelf.begin(t.Context(), demoName)
	require.NoError(t, err)
	_, err = p.hold(s.folder, "practice.xlsx", strings.NewReader("")) // as demo does, before its task is given
	require.NoError(t, err)
	list, undecided := p.openFiles()
	assert.True(t, undecided)
	assert.Equal(t, "being read", list[0].State)
	answer := httptest.NewRecorder()
	s.routes().ServeHTTP(answer, httptest.NewRequest(http.MethodGet, "/p/"+p.ID+"/read", nil))
	assert.Equal(t, 200, answer.Code)
}

// A file with identifiers leaves a word open: it is asked about by its place, nothing of
// the page repeats it, and the copy is made with its answer. The names are invented.
func TestWordOfAFileWithIdentifiers(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	sheet := "case,patient name,course,tooth,axis,planned,achieved,attachment\n" +
		"P1,Ada Whitfield,1,43,Quillwort,-10,-8,none\nP2,Mara Quill,1,43,Quillwort,-12,-8,none\nP3,Tom Reed,1,43,rotation,-12,-8,none\n"
	_, at := w.give(p, file{"named.csv", sheet})
	page, grid, _ := strings.Cut(w.until(at, "may identify a person"), `<section id="grid"`)
	assert.NotContains(t, grid, "Whitfield") // a cell of a column that is read stands in the sheet as it is
	for _, name := range []string{"Quillwort", "Whitfield"} {
		assert.NotContains(t, page, name)
	}
	assert.Contains(t, page, "word in cell E2")
	point := regexp.MustCompile(`name="answer (point \d+)" value="rotation`).FindStringSubmatch(page)
	require.NotNil(t, point, page)
	w.post(at+"/answers", "answer "+point[1], "rotation", "answer positive", "usual")
	page, _, _ = strings.Cut(w.until(at, "Answered before"), `<section id="grid"`)
	assert.NotContains(t, page, "Quillwort")
	assert.NotContains(t, page, "word in cell E2")
	copied := w.see(at + "/pseudonymised.xlsx")
	_, again := w.give(p, file{"copy.xlsx", copied})
	assert.Contains(t, w.until(again, "How it was understood"), "3 movements")
}

// A file whose identifiers stand in columns of their own is read without those columns,
// and its codes stay those of the other files. The names are invented.
func TestReadWithoutTheColumnsThatIdentify(t *testing.T) {
	w := open(t)
	p := w.begin("west")
	_, at := w.give(p, file{"named.csv", "case,patient,date of birth,clinician,status\nP1,Ada Whitfield,1999-08-08,K1,completed\nP2,Mara Quill,2000-11-25,K2,completed\nP3,Tom Reed,1993-07-04,K1,completed\n"})
	page := w.until(at, "Read it without these columns")
	var form []string
	for _, m := range regexp.MustCompile(`<input type="hidden" name="(answer [^"]+)" value="ignore">`).FindAllStringSubmatch(page, -1) {
		form = append(form, m[1], "ignore")
	}
	require.Len(t, form, 4, "the columns of names and of dates")
	w.post(at+"/answers", form...)
	page = w.until(at, "How it was understood")
	assert.NotContains(t, page, "Whitfield")
	assert.NotContains(t, page, "1999")
	w.post(at+"/keep", "code", "")
	w.until(at, "The records are kept")
	assert.Contains(t, w.see(p+"/records"), "P1")
}

// What somebody looked at and allowed does not come back as a wall, and a question of
// such a file is put once. The names are invented.
func TestAllowedIdentifiersAreRemarks(t *testing.T) {
	w := open(t)
	_, at := w.give(w.begin("south"), file{"named.csv", "case,course,tooth,axis,planned,achieved,seen by\nP1,1,43,Quillwort,-10,-8,Ada Whitfield\nP2,1,43,Quillwort,-12,-8,Mara Quill\nP3,1,43,rotation,-12,-8,Tom Reed\n"})
	w.until(at, "may identify a person")
	w.post(at+"/allow", "checked", "yes")
	page := w.until(at, "What the file leaves open")
	assert.NotContains(t, page, "This file may identify a person")
	assert.Equal(t, 1, strings.Count(page, `value="rotation"`), "the question of the word, once")
}

// The program ends by itself a while after its last window was closed, and says so.
func TestEndsAfterTheLastWindow(t *testing.T) {
	t.Parallel()
	w := openHome(t, testHome(t), Options{life: life.New(50 * time.Millisecond)})
	form := "application/x-www-form-urlencoded"
	w.send(http.MethodPost, "/here", form, strings.NewReader("window=a"))
	w.send(http.MethodPost, "/gone", form, strings.NewReader("window=a"))
	select {
	case err := <-w.over:
		require.NoError(t, err)
		w.over <- err // for the end of the test
	case <-time.After(patience):
		require.Fail(t, "it goes on")
	}
	assert.Contains(t, w.said.String(), "the last window was closed")
	_, err := w.Get(w.base)
	assert.Error(t, err)
}

// A file that would lose many rows says so before its others are kept.
func TestManyRowsLost(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"own.csv", "case,course,tooth,axis,planned,achieved,style\nQ1,1,43,rotation,-10,-8,none\nQ2,1,99,rotation,-12,-6,none\n"})
	page := w.until(at, "How it was understood")
	assert.Contains(t, page, "1 of 2 rows are left out")
	_, status, _ := w.send(http.MethodPost, at+"/keep", "application/x-www-form-urlencoded", strings.NewReader(""))
	assert.Equal(t, 400, status)
	w.post(at+"/keep", "fewer", "yes")
	w.until(at, "The records are kept")
}

// The screen names the cells of a long column in one range; the column can be left all
// the same. The names are invented.
func TestReadWithoutALongColumnThatIdentifies(t *testing.T) {
	w := open(t)
	text := "case,seen with,clinician,status\n"
	for i := range 400 {
		text += fmt.Sprintf("P%d,%s %s,K1,completed\n", i+1, []string{"Ada", "Mara", "Tom"}[i%3], []string{"Whitfield", "Quill", "Reed", "Marsh"}[i%4])
	}
	_, at := w.give(w.begin("long"), file{"named.csv", text})
	w.until(at, "Read it without this column")
}

// A file that is refused for its code column is not offered to be read without it, and a
// corrected file takes the place of the refused one of its name.
func TestARefusedFileIsCorrected(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	sheet := "Chart,Patient,course,tooth,movement,planned,achieved,attachment\n"
	for i, name := range []string{"Ada Whitfield", "Mara Quill", "Tom Ashby", "Ines Corder"} {
		sheet += fmt.Sprintf("C-%03d,%s,1,43,rotation,-10,-8,none\n", i+1, name)
	}
	_, at := w.give(p, file{"own.csv", sheet})
	page := w.until(at, "may identify a person")
	for _, m := range regexp.MustCompile(`(?s)<h3>Read it without.*?</form>`).FindAllString(page, -1) {
		assert.NotContains(t, m, "“Chart”")
	}
	_, at = w.give(p, file{"own.csv", openSheet})
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	w.until(p+"/read", "1\u00a0file read so far")
	assert.NotContains(t, w.see(p+"/read"), "Files not in the audit yet")

	_, asks := w.give(p, file{"log.csv", strings.Replace(openSheet, "achieved", "got", 1)})
	w.until(asks, `name="answer positive rotation"`)
	_, at = w.give(p, file{"log.csv", strings.NewReplacer("K", "L", "planned", "plan").Replace(openSheet)})
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	w.post(at + "/keep")
	w.until(at, "The records are kept")
	assert.Contains(t, w.see(p+"/read"), "has questions for you", "another file of the same name")
}
