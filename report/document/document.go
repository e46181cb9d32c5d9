// Package document is a report as a tree: sections, paragraphs, tables, figures
// and notes, with links between them. It has no millimetres, no pages and no
// mark-up.
//
// Place in the pipeline: report/section turns results into a document;
// report/paper lays it out on pages, report/web writes it as HTML, and report
// writes its sheets as a workbook. What fits on a page is the renderer's business
// and never changes what is said.
package document

import (
	"time"

	"shortfall/report/chart"
)

// Document is a whole report.
type Document struct {
	Title, Subject, Author, Creator string
	Lang                            string    // BCP 47, "en-GB"
	Date                            time.Time // of the results; never the clock
	Foot                            string    // runs along the foot of every page
	Sections                        []Section
	Sheets                          []Sheet // of a workbook
}

// Block is what a section holds: Section, Para, Table or Figure.
type Block interface{ block() }

// Section has a title and blocks, among them further sections. Its depth in the
// tree is the level of its head.
type Section struct {
	ID, Title string
	Over      []string // lines above the title: what it is, who, when, how many
	To        string   // id of what the last of these lines counts
	// Follow lets it begin on a page that is hardly begun itself.
	Follow bool
	// Apart begins a new page where there are pages; Compact asks for little
	// white space, Single for whatever it takes to stay on one page.
	Apart, Compact, Single bool
	Blocks                 []Block
}

// Role says what a paragraph is for.
type Role int

// The roles of a paragraph.
const (
	Body    Role = iota
	Lead         // the message of a section in one line, larger
	Minor        // sources, methods: less prominent
	Caution      // what the reader is warned of
	Item         // of a list, with its mark
)

// Para is a paragraph.
type Para struct {
	Role Role
	Mark string // before an item: "1", "•"
	Text Text
}

// Column of a table. Columns share the width by Weight once every column of
// numbers has what it needs; 0 counts as 1.
type Column struct {
	Title  string
	Weight float64
	Number bool // numbers: never broken, on the right
}

// Cell of a table. Its notes stand on the page of the table.
type Cell struct {
	Text   string
	Strong bool
	Quiet  bool
	Notes  []Note
	To     string // id the cell leads to
	ID     string // id others lead to, where a single cell is meant
	Datum  string // of a figure's data: the key of what is drawn of it
}

// Row of a table. The first cell names the row. A row with Group set heads the
// rows below it and has no cells.
type Row struct {
	ID    string
	Group Text
	Cells []Cell
}

// Table of words and numbers.
type Table struct {
	ID, Title string // without an id it is not numbered
	Columns   []Column
	Rows      []Row
	Below     Text
	// ToFill leaves room to write by hand.
	ToFill bool
	// IfRoom: of use, and said elsewhere too. On paper it is there where it fits on a page
	// begun already; one to fill in has as many lines as fit.
	IfRoom bool
}

// Drawing and Divisible are those of package chart: what can be drawn at any
// width, and what may be broken between two of its parts.
type (
	Drawing   = chart.Drawing
	Divisible = chart.Divisible
)

// Sheet is a table in full, of values and not of words, as a workbook keeps it:
// every row whether or not a page prints it, and numbers as numbers.
type Sheet struct {
	Name    string // at most 31 characters, as workbooks allow
	Columns []SheetColumn
	Rows    [][]any // string, int or float64; nil where there is nothing
}

// SheetColumn is a column of a sheet; Width is in characters.
type SheetColumn struct {
	Head  string
	Width float64
}

// Figure is a drawing under a title that states its message. Data is the table
// of what is drawn, for readers who cannot see it.
type Figure struct {
	ID, Title string // without an id it is not numbered
	Sub       Text   // what is drawn, in which unit
	To        string // id of the table or section that sets out the numbers of its caption
	Desc      string
	Drawings  []Drawing // one above the other
	Notes     []Note    // chart.Text.Notes count into these
	Data      *Table
	Below     Text
	// Ends says why its marks lead no further, for a page on which others lead to the
	// cases behind them.
	Ends string
}

func (Section) block() {}
func (Para) block()    {}
func (Table) block()   {}
func (Figure) block()  {}

// Walk calls visit for every block of the document in order of reading, a
// section before what it holds. Level is 1 for the sections of the document.
func (d *Document) Walk(visit func(b Block, level int)) {
	for _, s := range d.Sections {
		walk(s, 1, visit)
	}
}

func walk(b Block, level int, visit func(Block, int)) {
	visit(b, level)
	if s, ok := b.(Section); ok {
		for _, in := range s.Blocks {
			walk(in, level+1, visit)
		}
	}
}
