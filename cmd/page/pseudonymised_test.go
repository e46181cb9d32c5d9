package page

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Sheets of a practice whose list of cases has names beside the codes; all are invented.
const (
	namedList = "case,patient name,date of birth,start month,status\nF1,Ada Whitfield,1999-08-08,2024-04,completed\nF2,Mara Quill,2000-11-25,2024-01,completed\nF3,Tom Reed,1999-11-19,2024-02,discontinued\n"
	ofList    = "case,course,tooth,axis,planned,achieved,style\nF1,1,43,rotation,-10,-8,none\nF2,1,43,rotation,-12,-6,none\nF3,1,43,rotation,9,8,none\n"
)

// The copy of a list fits the movements that needed none, is taken back without a detour
// over the disk, and settles the list.
func TestCopyIsReadAtOnceAndFits(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, moves := w.give(p, file{"moves.csv", ofList})
	w.until(moves, "How it was understood")
	w.post(moves+"/keep", "code", "EAST")
	w.until(moves, "The records are kept")
	_, list := w.give(p, file{"list.csv", namedList})
	w.until(list, "may identify a person")
	_, at := w.post(list + "/copy")
	require.NotEqual(t, list, at)
	page := w.until(at, "How it was understood")
	assert.Contains(t, page, "A pseudonymised copy of list.csv")
	assert.Contains(t, page, "Codes of cases: all 3 stay as they are")
	assert.Contains(t, page, "column B")
	for _, gone := range []string{"Whitfield", "Quill", "1999"} {
		assert.NotContains(t, page, gone)
	}
	assert.Contains(t, w.see(at+"/copy.xlsx"), "PK")
	w.post(at+"/keep", "code", "EAST")
	page = w.until(at, "The records are kept")
	assert.NotContains(t, page, "not in the audit yet", "the list itself is settled")
	page = w.see(p + "/records")
	assert.NotContains(t, page, "not in a list of cases")
	_, status := w.get(list)
	assert.Equal(t, 404, status)
}

// A copy that was saved and given to the page again settles its file too.
func TestSavedCopySettlesItsFile(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, list := w.give(p, file{"list.csv", namedList})
	w.until(list, "may identify a person")
	_, at := w.give(p, file{"saved.xlsx", w.see(list + "/pseudonymised.xlsx?codes=renamed")})
	page := w.until(at, "How it was understood")
	assert.NotContains(t, page, ">F1<")
	w.post(at + "/keep")
	assert.NotContains(t, w.until(at, "The records are kept"), "list.csv")
}

// Where no copy can be made the page of the file says what to do; what was only noted of
// the reading is no reason, as for a text in another encoding.
func TestWhyThereIsNoCopy(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"own.csv", strings.ReplaceAll(openSheet, "K1", "K\xfc1")})
	w.until(at, "What the file leaves open")
	page, to := w.post(at + "/copy")
	assert.Equal(t, at, to)
	assert.Contains(t, page, "Answer what is asked below")
	assert.NotContains(t, page, "Windows-1252.")
	w.post(at+"/answers", "answer positive", "usual")
	w.until(at, "How it was understood")
	_, to = w.post(at + "/copy")
	assert.NotEqual(t, at, to)

	_, at = w.give(p, file{"other.csv", "patient name,tooth,axis,planned,achieved\nAda Whitfield,43,rotation,-10,-8\nMara Quill,43,rotation,-12,-6\n"})
	w.until(at, "may identify a person")
	page, to = w.post(at + "/copy")
	assert.Equal(t, at, to)
	assert.Contains(t, page, "No pseudonymised copy was made")
	assert.Regexp(t, "Answer what is asked below|choose “case” under", page)
}

// Answers that are remembered of an earlier sheet hold for a copy too.
func TestCopyRestsOnRememberedAnswers(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	w.keeps(p, file{"own.csv", openSheet})
	_, at := w.give(p, file{"more.csv", strings.ReplaceAll(openSheet, "K", "L")})
	w.until(at, "How it was understood")
	_, to := w.post(at + "/copy")
	assert.Contains(t, w.until(to, "How it was understood"), "A pseudonymised copy of more.csv")
}

// A list whose codes are not those of the movements is asked about before it is kept, and
// told after.
func TestListThatFitsNothingIsAskedAbout(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, moves := w.give(p, file{"moves.csv", ofList})
	w.until(moves, "How it was understood")
	w.post(moves+"/keep", "code", "EAST")
	assert.NotContains(t, w.until(moves, "The records are kept"), "do not fit together")
	_, list := w.give(p, file{"list.csv", namedList})
	w.until(list, "may identify a person")
	_, at := w.post(list+"/copy", "codes", "renamed")
	page := w.until(at, "How it was understood")
	assert.Contains(t, page, "3 cases listed, 3 with movements, 0 in both")
	said, status, _ := w.send(http.MethodPost, at+"/keep", "application/x-www-form-urlencoded", strings.NewReader("code=EAST"))
	assert.Equal(t, 400, status)
	assert.Contains(t, said, "do not fit together")
	w.post(at+"/keep", "code", "EAST", "apart", "yes")
	assert.Contains(t, w.until(at, "The records are kept"), "do not fit together")
}
