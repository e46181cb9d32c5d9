package page

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestColumnsThatAreNotReadAreThoseOfTheTerminal: a column whose header no field has, and
// one with cells and no header, both as columns of which nothing is kept.
func TestColumnsThatAreNotReadAreThoseOfTheTerminal(t *testing.T) {
	w := open(t)
	lines := strings.Split(strings.TrimRight(numbered(""), "\n"), "\n")
	for i := range lines {
		if i == 0 {
			lines[i] += ",Colour,"
		} else {
			lines[i] += ",blue,7"
		}
	}
	_, at := w.give(w.begin("east"), file{"own.csv", strings.Join(lines, "\n") + "\n"})
	if page := w.until(at, `<section`); strings.Contains(page, "What the file leaves open") {
		w.post(at+"/answers", "answer positive", "usual")
	}
	page := w.until(at, "How it was understood")
	said := regexp.MustCompile(`<strong>not read</strong>[^<]*`).FindString(page)
	assert.Equal(t, "<strong>not read</strong>, so nothing of it is kept: I “Colour”, J", said)
}
