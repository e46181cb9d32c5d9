package page

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/report/web/webtest"
)

// TestAnswersServeTheFileBeside: two files of one layout dropped together are asked once;
// one of other headers is still asked, and a column that was left out stays out.
func TestAnswersServeTheFileBeside(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	second := strings.ReplaceAll(openSheet, "K", "L")
	other := strings.Replace(openSheet, "attachment", "feature style", 1)
	w.give(p, file{"one.csv", openSheet}, file{"two.csv", second}, file{"three.csv", other})
	for _, n := range []string{"1", "2", "3"} {
		w.until(p+"/read/"+n, `name="answer positive rotation"`)
	}
	w.post(p+"/read/1/answers", "answer positive rotation", "rotation mesial-in", "answer positive buccolingual torque", "torque buccal")
	w.until(p+"/read/1", "How it was understood")
	w.post(p + "/read/1/keep")
	w.until(p+"/read/1", "The records are kept")
	page := w.until(p+"/read/2", "How it was understood")
	assert.NotContains(t, page, `name="answer positive rotation"`)
	page = w.see(p + "/read/3")
	assert.Regexp(t, `name="answer positive rotation" value="rotation mesial-in" checked>[^\n]*as for one.csv`, page, "it is asked, and what was said before is proposed")
	_, at := w.give(p, file{"four.csv", strings.Replace(openSheet, "achieved", "got", 1)})
	w.post(at+"/answers", "answer positive rotation", "rotation mesial-out")
	_, at = w.give(p, file{"four.csv", strings.Replace(openSheet, "planned", "plan", 1)})
	page = w.until(at, `name="answer positive rotation"`)
	assert.Regexp(t, `name="answer positive rotation" value="rotation mesial-out" checked>[^\n]*as for four.csv`, page, "of a file that is not kept, too")
	list := w.see(p + "/read")
	assert.Equal(t, 2, strings.Count(list, "dropped at "), "two of one name are told apart")
}

// TestEveryPracticeHasItsName: a second practice is proposed by the name it was given, or
// its first letters where it reads like a person's, and its second file by that of the first.
func TestEveryPracticeHasItsName(t *testing.T) {
	w := open(t)
	names := map[string]string{"Sonnenhof": "Sonnenhof", "Sonnenhof Zwei": "SZ"}
	if webtest.Long() {
		names["Praxis am Markt"], names["Smile-Studio North"] = "Praxis am Markt", "Smile-Studio North"
	}
	for name, code := range names {
		p := w.begin(name)
		for _, f := range []file{{"own.csv", openSheet}, {"next.csv", strings.ReplaceAll(openSheet, "K", "L")}} {
			_, at := w.give(p, f)
			if f.name == "own.csv" {
				w.post(at+"/answers", "answer positive", "usual")
			}
			page := w.until(at, "How it was understood")
			assert.Contains(t, page, `name="code" value="`+code+`"`, name)
			w.post(at+"/keep", "code", code)
			w.until(at, "The records are kept")
		}
	}
}

// TestAColumnStaysAsItWasSaid: the form of columns sends all of them, most with nothing
// chosen; what was said of one before stands.
func TestAColumnStaysAsItWasSaid(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	_, at := w.give(p, file{"own.csv", openSheet})
	page := w.until(at, "What the file leaves open")
	id := regexp.MustCompile(`answer column G of [^"]+`).FindString(page)
	require.NotEmpty(t, id)
	w.post(at+"/answers", id, "ignore")
	w.until(at, `value="ignore" selected`)
	w.post(at+"/answers", id, "", strings.Replace(id, " G ", " F ", 1), "as found")
	w.until(at, `value="as found" selected`)
	assert.Regexp(t, regexp.QuoteMeta(`name="`+id+`"`)+`[^\n]*?value="ignore" selected`, w.see(at))
}
