package page

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// numbered is a wide sheet of eight cases whose teeth are numbered from 1 to 32; stray is
// the planned extrusion of its first row.
func numbered(stray string) string {
	var b strings.Builder
	b.WriteString("case,course,tooth,Extr plan,Extr got,Rot plan,Rot got,attachment\n")
	for i := range 24 {
		plan := fmt.Sprintf("1.%d", i%7+1)
		if i == 0 && stray != "" {
			plan = ""
		}
		fmt.Fprintf(&b, "C%d,1,%d,%s,0.6,-%d.5,-8.2,none\n", 1+i/3, []int{7, 8, 22}[i%3], plan, 9+i)
	}
	return b.String()
}

// A practice sees its teeth as its first file writes them, in the examples, the audit and
// the case, until it chooses otherwise; and the choice stays.
func TestTeethAreShownAsTheFileWritesThem(t *testing.T) {
	w := open(t)
	p := w.begin("east")
	keep := func(name, sheet string) (page, after string) {
		_, at := w.give(p, file{name, sheet})
		if page = w.until(at, `<section`); strings.Contains(page, "What the file leaves open") {
			w.post(at+"/answers", "answer positive", "usual")
		}
		page = w.until(at, "How it was understood")
		w.post(at + "/keep")
		return page, w.until(at, "The records are kept")
	}
	page, _ := keep("own.csv", numbered(""))
	assert.Contains(t, page, "row 2: tooth 7 (FDI 12)")
	chosen := func(page string) string {
		_, rest, _ := strings.Cut(page, `<select id="teeth"`)
		_, rest, _ = strings.Cut(rest, "<option selected>")
		word, _, _ := strings.Cut(rest, "<")
		return word
	}
	assert.Equal(t, "universal", chosen(w.untilJob(p+"/audit")))
	of := w.untilJob(p + "/case?practice=&id=C1")
	assert.Contains(t, of, "tooth 7, ")
	assert.NotContains(t, of, "tooth 12, ")
	w.untilJob(p + "/audit?teeth=palmer")
	assert.Equal(t, "palmer", chosen(w.untilJob(p+"/audit")), "the choice stays")

	page, after := keep("corrected.csv", numbered("stray"))
	assert.Contains(t, page, "1 movement on record refused in this version")
	assert.Contains(t, after, "refused in this version")
	assert.NotContains(t, after, "no longer in the file")
}
