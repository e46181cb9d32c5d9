// Package sheet turns a file into located cells: workbooks (.xlsx, .ods, the old
// binary .xls) and text with separators. Every limit on size and every look at the first bytes lives here.
//
// Place in the pipeline: ingest opens each file with Open and finds the tables
// in the cells; nothing after this package knows about file formats. A workbook
// is read by a streaming reader of our own and by no library: excelize's
// streaming reader ends silently at damage, its full parse holds a sheet several
// times over, and neither is bounded. Rows that are plainly written are scanned
// (quick.go); a decoder of XML reads the others. Texts outside the cells are given to be
// screened and are never kept; parts that are not read are counted by kind.
package sheet

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
)

// Book is one file as cells.
type Book struct {
	File       casebook.File
	Format     Format
	Sheets     []*Sheet
	Properties []Property
	Comments   []Comment
	Problems   []casebook.Problem // warnings: macros, links, hidden parts, encoding
	Date1904   bool               // serial dates count from 1904-01-01
}

// Format of a file.
type Format uint8

// A workbook stores typed cells; text does not tell a number from a text.
const (
	Workbook Format = iota + 1
	Text
)

// Property is one document property, such as author or title.
type Property struct{ Name, Value string }

// Comment is a note on a cell.
type Comment struct{ Sheet, Ref, Text string }

// Sheet is one table-like page: rows in ascending order, blank cells left out.
type Sheet struct {
	Name       string
	Hidden     bool
	Rows       []Row
	Merged     []Area
	HiddenCols []Area // whole columns; rows of the area are 0
	last       int    // number of the last row that was read
	texts      *texts // of the cells
}

// Kind of a cell.
type Kind uint8

// The kinds of a cell. Blank cells are not stored.
const (
	Blank Kind = iota
	Number
	String
	Bool
	Date       // a number shown as a date
	ErrorValue // #REF! and the like
	NoValue    // a formula saved without its value
)

var kindNames = [...]string{"blank", "number", "text", "yes/no", "date", "error value", "formula without value"}

func (k Kind) String() string { return kindNames[k] }

// Area is a rectangle of cells, bounds included, 1-based.
type Area struct{ Row1, Col1, Row2, Col2 int }

// Columns is the number of the last column that holds a cell.
func (s *Sheet) Columns() int {
	n := 0
	for _, r := range s.Rows {
		if k := len(r.cells); k > 0 {
			n = max(n, int(r.cells[k-1].col))
		}
	}
	return n
}

// Ref writes an A1 reference.
func Ref(row, col int) string { return ColumnName(col) + strconv.Itoa(row) }

// Place is the cell of an A1 reference, of a range its first; zeros for what is none.
func Place(ref string) (row, col int) {
	first, _, _ := strings.Cut(ref, ":")
	col, row, err := excelize.CellNameToCoordinates(first)
	if err != nil {
		return 0, 0
	}
	return row, col
}

// ColumnName writes the letters of a column.
func ColumnName(col int) string {
	name, err := excelize.ColumnNumberToName(col)
	if err != nil {
		return "?"
	}
	return name
}
