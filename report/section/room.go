package section

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/report/document"
)

// A builder makes the tables and figures of one question from the results; what
// they say, their titles, columns and notes, comes with each exhibit.
type builder func(m *maker, e *results.Exhibit) document.Block

// exhibits are the builders of a question, by the id of the exhibit without that of
// the question: "paths". An exhibit without a builder stands on the first pages.
type exhibits map[string]builder

// room is all that one question puts before a reader, on pages and in the workbook.
type room struct {
	exhibits exhibits
	offPaper []string                        // of them, those on the web page only: on paper the workbook has them
	sheets   func(m *maker) []document.Sheet // in full
	facts    func(m *maker) []fact           // rows of the sheet of data quality
}

// rooms by the id of their question. The file of a question furnishes its room, so
// that a new question costs no line elsewhere; the order is that of the results.
var rooms = map[string]room{}

func furnish(id string, r room) bool {
	if _, twice := rooms[id]; twice {
		panic("section: two rooms for " + id)
	}
	rooms[id] = r
	return true
}

// findBuilder finds the builder of an exhibit, and whether it stays off paper:
// "outlook.bands-mm" is built by outlook's "bands".
func findBuilder(id string) (b builder, offPaper bool) {
	question, name, _ := strings.Cut(id, ".")
	r := rooms[question]
	for {
		if b := r.exhibits[name]; b != nil {
			return b, slices.Contains(r.offPaper, name)
		}
		i := strings.LastIndex(name, "-")
		if i < 0 {
			return nil, false
		}
		name = name[:i]
	}
}
