package privacy

import (
	"iter"
	"slices"

	"shortfall/ingest/columns"
)

// Input is a file as the screen needs it.
type Input struct {
	File       string // base name
	Properties []Property
	Comments   []Comment
	Sheets     []Sheet
	Date1904   bool // serial dates count from 1904-01-01
}

// Property is one document property: author, company, title and so on.
type Property struct{ Name, Text string }

// Comment is a note on a cell.
type Comment struct{ Sheet, Cell, Text string }

// Sheet is one sheet: the columns of its table, where it has one, and its cells.
type Sheet struct {
	Name string
	// Columns of the table by their number; nil where the sheet holds none.
	Columns map[int]Column
	// Constants hold for every row, from labels above the header or the name of the sheet.
	Constants map[columns.Field]string
	// Body is the first row below the header; 0 where the sheet holds no table.
	Body int
	// Cells gives every cell that holds something, from the top: those of the columns that
	// are wanted, by number, of all where that is nil; from the row of the body on without
	// those that are known to be clean, where known is not nil. It is called several times.
	Cells func(wanted []bool, known *Clean) iter.Seq[Cell]
	// Note tells which rows hold a note below the records and no record, nil for none.
	Note func(row int) bool
	// Pass tells which of them need no look, nil for none.
	Pass func(Cell) bool
}

// passes reports a cell that needs no look.
func (s *Sheet) passes(c Cell) bool { return s.Pass != nil && s.Pass(c) }

// below gives the cells below the header in the columns of some uses.
func (s *Sheet) below(of ...use) iter.Seq[Cell] {
	var wanted []bool // by column
	// any order: the list grows as far as the largest column, and each has its own place
	for col, d := range s.Columns {
		if slices.Contains(of, useOf(d.Field)) {
			wanted = append(wanted, make([]bool, max(0, col+1-len(wanted)))...)
			wanted[col] = true
		}
	}
	return func(yield func(Cell) bool) {
		if len(wanted) == 0 {
			return
		}
		for c := range s.Cells(wanted, nil) {
			if c.Row >= s.Body && !yield(c) {
				return
			}
		}
	}
}

// Column of a table: its header and what it is read as (NoField: it is not read).
type Column struct {
	Header string
	Field  columns.Field
}

// Cell is one cell. The text of a date is its serial day.
type Cell struct {
	Row, Col int
	Text     string
	Kind     Kind
	Error    bool // an error value of no spreadsheet program, kept as its text
	// Same is a number of the text: cells of one sheet with the same number, which is not
	// 0, say the same.
	Same uint32
}

// Kind of a cell.
type Kind uint8

// The kinds that matter here.
const (
	Text Kind = iota
	Number
	Date
)

// use is what a place may hold, which decides how strictly it is looked at.
type use uint8

const (
	loose    use = iota // a cell of a column that is not read
	code                // a pseudonym or the code of a clinician
	practice            // the code of a practice
	month               // a column of months, which may hold whole dates
	value               // any other column that is read
	heading             // above a table, or on a sheet without one
	header
	label    // names of sheets and files, titles
	person   // author, last modified by: a name by nature
	comment  // notes on cells
	sentence // what a sheet tells those who fill it in, and what stands in its drawings
)

func useOf(f columns.Field) use {
	switch f {
	case columns.NoField:
		return loose
	case columns.Case, columns.Clinician:
		return code
	case columns.Practice:
		return practice
	case columns.StartMonth, columns.EndMonth, columns.CourseStart:
		return month
	}
	return value
}
