// Package room builds what one question puts before a reader: the tables and figures
// of its annex, its sheets of the workbook and its rows of the sheet of data quality,
// a file a question.
//
// Place in the pipeline: report/section asks for a room by the id of its question and
// holds the rooms together; a room lays out what the results say and decides nothing.
package room

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// Maker holds what every builder needs.
type Maker struct {
	Results  *results.Results
	Settings results.Settings
	Names    wording.Names
	Cells    map[results.By]*results.Cell
}

// NewMaker looks over the results once.
func NewMaker(r *results.Results) *Maker {
	m := &Maker{Results: r, Settings: r.Provenance.Settings, Names: wording.NamesOf(r), Cells: map[results.By]*results.Cell{}}
	for i := range r.Expression {
		m.Cells[r.Expression[i].By] = &r.Expression[i]
	}
	return m
}

// A Builder makes the tables and figures of one question from the results; what
// they say, their titles, columns and notes, comes with each exhibit.
type Builder func(m *Maker, e *results.Exhibit) document.Block

// Exhibits are the builders of a question, by the id of the exhibit without that of
// the question: "paths". An exhibit without a builder stands on the first pages.
type Exhibits map[string]Builder

// Room is all that one question puts before a reader, on pages and in the workbook.
type Room struct {
	Exhibits Exhibits
	OffPaper []string                        // of them, those on the web page only: on paper the workbook has them
	Sheets   func(m *Maker) []document.Sheet // in full
	Facts    func(m *Maker) []Fact           // rows of the sheet of data quality
}

// rooms by the id of their question. The file of a question furnishes its room, so
// that a new question costs no line elsewhere; the order is that of the results.
var rooms = map[string]Room{}

// Of is the room of a question, empty where it has none.
func Of(id string) Room { return rooms[id] }

// Furnish gives a question its room; a second one for the same question is a slip of ours
// and panics.
func Furnish(id string, r Room) bool {
	if _, twice := rooms[id]; twice {
		panic("room: two rooms for " + id)
	}
	rooms[id] = r
	return true
}

// Find finds the builder of an exhibit, and whether it stays off paper:
// "outlook.bands-mm" is built by outlook's "bands".
func Find(id string) (b Builder, offPaper bool) {
	question, name, _ := strings.Cut(id, ".")
	r := rooms[question]
	for {
		if b := r.Exhibits[name]; b != nil {
			return b, slices.Contains(r.OffPaper, name)
		}
		i := strings.LastIndex(name, "-")
		if i < 0 {
			return nil, false
		}
		name = name[:i]
	}
}

// Fact is one number of the sheet of data quality.
type Fact struct {
	Topic, What string
	Value       any
}
