package casebook

import (
	"encoding/binary"
	"slices"
	"strconv"
	"strings"
)

// Original is the row of a sheet from which a record came: a place among Rows. The zero
// value has no cells.
type Original struct {
	rows *Rows
	at   int // of its first byte
}

// Rows keeps original rows in little memory: what their columns say is kept once, and so
// are texts that come again. A row that was written is never changed.
type Rows struct {
	columns []RowColumn
	known   map[string]uint64 // number of each text that came
	texts   []string
	packed  []byte // of each row its number, its cells, and of each of them column and text
}

// RowColumn is what the cells of one column have in common.
type RowColumn struct {
	Place  string // letters of the column, or a whole reference where the cell stands in another row
	Header string
	Kept   string // as of a Cell that parsed
}

// mostTexts are known again; beyond it a text is written where it stands.
const mostTexts = 1 << 16

// Column announces a column and gives its number.
func (r *Rows) Column(c RowColumn) int {
	r.columns = append(r.columns, c)
	return len(r.columns) - 1
}

// Begin begins a row of so many cells, which Cell adds.
func (r *Rows) Begin(row, cells int) Original {
	o := Original{r, len(r.packed)}
	if cap(r.packed)-len(r.packed) < 1<<10 {
		r.packed = slices.Grow(r.packed, len(r.packed)) // twice as much, so that little is copied
	}
	r.packed = binary.AppendUvarint(binary.AppendUvarint(r.packed, uint64(row)), uint64(cells))
	return o
}

// Cell adds a cell to the row that was begun last; kept is whether it may be kept.
func (r *Rows) Cell(column int, text string, kept bool) {
	r.Numbered(column, r.Number(text), text, kept)
}

// Number of a text, for Numbered; it stays what it is.
func (r *Rows) Number(text string) uint64 {
	n, ok := r.known[text]
	if !ok && len(r.texts) < mostTexts {
		if r.known == nil {
			r.known = map[string]uint64{}
		}
		r.texts = append(r.texts, text)
		n = uint64(len(r.texts))
		r.known[text] = n
	}
	return n // 0 where the text is written where it stands
}

// Numbered is Cell for a text of which the number is known.
func (r *Rows) Numbered(column int, number uint64, text string, kept bool) {
	head := uint64(column) << 1
	if kept {
		head |= 1
	}
	r.packed = binary.AppendUvarint(binary.AppendUvarint(r.packed, head), number)
	if number == 0 {
		r.packed = append(binary.AppendUvarint(r.packed, uint64(len(text))), text...)
	}
}

// OriginalOf is a row by itself.
func OriginalOf(cells []Cell) Original {
	if len(cells) == 0 {
		return Original{}
	}
	r := &Rows{}
	o := r.Begin(0, len(cells))
	for _, c := range cells {
		r.Cell(r.Column(RowColumn{Place: c.Ref, Header: c.Header, Kept: c.Kept}), c.Text, c.Kept != "")
	}
	return o
}

// Each calls f with the cells in their order: what their column says, their text, and
// whether they may be kept.
func (o Original) Each(f func(c *RowColumn, text string, kept bool)) {
	if o.rows == nil {
		return
	}
	rest := o.rows.packed[o.at:]
	next := func() uint64 {
		n, size := binary.Uvarint(rest)
		rest = rest[size:]
		return n
	}
	next()
	for range next() {
		head, text := next(), ""
		if n := next(); n > 0 {
			text = o.rows.texts[n-1]
		} else {
			size := next()
			text, rest = string(rest[:size]), rest[size:]
		}
		f(&o.rows.columns[head>>1], text, head&1 == 1)
	}
}

// Row is the number of the row, 0 where its cells have whole references.
func (o Original) Row() int {
	if o.rows == nil {
		return 0
	}
	n, _ := binary.Uvarint(o.rows.packed[o.at:])
	return int(n)
}

// Cells gives all cells of the row, for the marked copy that may be made while the file
// is at hand.
func (o Original) Cells() []Cell {
	var out []Cell
	row := strconv.Itoa(o.Row())
	o.Each(func(c *RowColumn, text string, kept bool) {
		cell := Cell{Ref: c.Place, Header: c.Header, Text: text}
		if c.Place != "" && row != "0" && !strings.ContainsAny(c.Place, "0123456789") {
			cell.Ref += row
		}
		if kept {
			cell.Kept = c.Kept
		}
		out = append(out, cell)
	})
	return out
}
