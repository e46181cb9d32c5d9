package results

import "strings"

// Section is what one question says beside its numbers: every sentence, caption,
// denominator and choice of what is drawn. A renderer lays it out and adds no words
// of its own; its builder is found by the id.
type Section struct {
	ID    string `json:"id"` // that of the question, "switches"
	Title string `json:"title"`
	// Lines are the paragraphs, in order of reading.
	Lines []Line `json:"lines,omitempty"`
	// Exhibits are the tables and figures, in order of reading.
	Exhibits []Exhibit `json:"exhibits,omitempty"`
}

// Role says how a line is read.
type Role string

// The roles of a line.
const (
	Plain   Role = ""        // a paragraph
	Caution Role = "caution" // what the numbers do not show; set back
	Item    Role = "item"    // one of a list
	Missing Role = "missing" // why there is nothing to show
)

// Line is one paragraph with what it rests on.
type Line struct {
	Role Role   `json:"role,omitempty"`
	Text string `json:"text"`
	// See names the exhibits or definitions the line points to.
	See      []string  `json:"see,omitempty"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// ExhibitKind tells a table from a figure.
type ExhibitKind string

// The kinds of exhibit.
const (
	TableExhibit  ExhibitKind = "table"
	FigureExhibit ExhibitKind = "figure"
)

// Exhibit is a table or a figure of a section: its words and what it shows.
type Exhibit struct {
	ID    string      `json:"id"` // "switches.paths"; unique over all sections
	Kind  ExhibitKind `json:"kind"`
	Title string      `json:"title"`
	// Columns are the heads of a table's columns, in order.
	Columns []string `json:"columns,omitempty"`
	// Heads stand over groups of a table's rows, in order.
	Heads []string `json:"heads,omitempty"`
	// Denominator says what the counts and shares are of.
	Denominator string `json:"denominator,omitempty"`
	// Method and Definition are ids of results.methods and results.definitions.
	Method     string `json:"method,omitempty"`
	Definition string `json:"definition,omitempty"`
	// Notes stand below it.
	Notes []string `json:"notes,omitempty"`
	// Rows are the rows of the question's list that it shows, by index, in order;
	// empty: all of them. Left is how many rows it leaves out, and Sheet the sheet
	// of the workbook that has them all.
	Rows  []int  `json:"rows,omitempty"`
	Left  int    `json:"left,omitempty"`
	Sheet string `json:"sheet,omitempty"`
	// See names the exhibit with the same numbers as a table, or drawn.
	See []string `json:"see,omitempty"`
}

// Method is how a kind of number was estimated; every estimate names one by id.
type Method struct {
	ID     string `json:"id"` // "ratio-cr2"
	Name   string `json:"name"`
	Text   string `json:"text"` // how it is computed, with its degrees of freedom
	Source string `json:"source,omitempty"`
}

// Column names the definition and the method of the numbers of a field, and of all
// below it that have no column of their own.
type Column struct {
	Field      string `json:"field"` // path in results.json without indices, "expression.outside_tolerance"
	Definition string `json:"definition"`
	Method     string `json:"method"`
}

// ColumnOf finds the column of a field by its path; the zero Column where it has none.
func (r *Results) ColumnOf(field string) (c Column) {
	for _, x := range r.Columns {
		if (field == x.Field || strings.HasPrefix(field, x.Field+".")) && len(x.Field) > len(c.Field) {
			c = x
		}
	}
	return c
}

// Basis names a row that a sentence rests on: the exhibit or table it stands in
// ("expression", "comparisons", "switches.contrasts") and the cell.
type Basis struct {
	Table string `json:"table"`
	By    By     `json:"by,omitzero"`
	// Row is the index in a list whose rows are not cells.
	Row int `json:"row,omitempty"`
}

// SectionOf finds the section of a question; the zero Section where it has none.
func (r *Results) SectionOf(id string) Section {
	for _, s := range r.Sections {
		if s.ID == id {
			return s
		}
	}
	return Section{}
}

// ExhibitOf finds an exhibit of the section by its id.
func (s Section) ExhibitOf(id string) Exhibit {
	for _, e := range s.Exhibits {
		if e.ID == id {
			return e
		}
	}
	return Exhibit{}
}
