package decide

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// Block is what the columns hold that are written once for a block of rows. Every row of
// the sheet moves it on before anything is decided of the row: one that gives no record,
// for whatever reason, may still begin a block.
type Block struct {
	t              *layout.Table
	fields, within []columns.Field
	cells          map[columns.Field]sheet.Cell
	lost           map[columns.Field]int // row after which blanks have nothing above them
	shapes         map[string]bool       // of the codes of cases
}

// NewBlock is that of the table before its first row.
func NewBlock(t *layout.Table, p Plan) Block {
	b := Block{t: t, fields: p.Blocks, within: p.Within, cells: map[columns.Field]sheet.Cell{}, lost: map[columns.Field]int{}}
	if len(p.Blocks) > 0 {
		b.shapes = shapesOf(t)
	}
	return b
}

// Above repeats the cell above where the sheet writes the field once a block.
func (b *Block) Above(f columns.Field, c sheet.Cell) sheet.Cell {
	if c.Kind != sheet.Blank || !slices.Contains(b.fields, f) {
		return c
	}
	return b.cells[f]
}

// Carry moves the block on to a row of a record.
func (b *Block) Carry(row sheet.Row) {
	for _, f := range b.fields { // the case first
		c := row.At(b.t.Find(f))
		if c.Kind == sheet.Blank {
			continue
		}
		if f == columns.Case && c.Text != b.cells[f].Text {
			for _, of := range b.within {
				delete(b.cells, of)
				delete(b.lost, of)
			}
		}
		b.cells[f] = c
		delete(b.lost, f)
	}
}

// Pass moves the block over a row that is no record or cannot be read: its code holds for
// the rows below, and after what is none, and after a total, no row above is theirs. It
// reports whether anything may be written once a block.
func (b *Block) Pass(row sheet.Row, body *Body) bool {
	if len(b.fields) == 0 || !row.Broken && b.t.Repeats(row) {
		return false
	}
	code := row.At(b.t.Find(columns.Case))
	if row.Broken || body.Closes(row) || code.Kind != sheet.Blank && !b.shapes[shapeOf(code.Text)] {
		for _, f := range b.fields {
			if f == columns.Case || slices.Contains(b.within, f) {
				delete(b.cells, f)
				b.lost[f] = row.Number
			}
		}
		return true
	}
	b.Carry(row)
	return true
}

// LostAbove says why a blank cell of a field has no value above it, "" where that is not
// the reason.
func (b *Block) LostAbove(f columns.Field) string {
	if row := b.lost[f]; row > 0 && slices.Contains(b.fields, f) {
		return fmt.Sprintf("; row %d above it is no record that was read, and whether its block goes on below is not clear", row)
	}
	return ""
}

// shapesOf are the shapes of what stands in the column of cases beside an amount or a tooth.
func shapesOf(t *layout.Table) map[string]bool {
	out := map[string]bool{}
	col := t.Find(columns.Case)
	for _, row := range t.Sheet.Rows {
		if c := row.At(col); row.Number >= t.Body && c.Kind != sheet.Blank && row.Len() > 3 {
			out[shapeOf(c.Text)] = true
		}
	}
	return out
}

// shapeOf writes runs of letters and of digits as one each.
func shapeOf(text string) string {
	var out []rune
	for _, c := range strings.TrimSpace(text) {
		switch {
		case unicode.IsLetter(c):
			c = 'a'
		case unicode.IsDigit(c):
			c = '0'
		}
		if n := len(out); n > 0 && out[n-1] == c && (c == 'a' || c == '0') {
			continue
		}
		out = append(out, c)
	}
	return string(out)
}
