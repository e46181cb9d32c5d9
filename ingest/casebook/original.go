package casebook

import (
	"encoding/binary"
	"strconv"
	"strings"
)

// Original is the row of a sheet from which a record came: a place among Rows. The zero
// value has no cells.
type Original struct {
	rows *Rows
	at   uint64 // of its first byte: the block, and where in it
}

// Rows keeps original rows in little memory: what their columns say is kept once, and so
// are texts that come again. A row that was written is never changed.
type Rows struct {
	columns []RowColumn
	known   map[string]uint64 // number of each text that came
	texts   []string
	// packed are, of each row, its number, its cells, and of each of them column and text: in
	// blocks, so that nothing is copied where more rows come. No row is in two of them.
	packed [][]byte
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
	last := len(r.packed) - 1
	if room := 32 + 6*cells; last < 0 || cap(r.packed[last])-len(r.packed[last]) < room {
		size := room
		if last >= 0 {
			size = max(room, min(2*cap(r.packed[last]), largestBlock))
		}
		r.packed = append(r.packed, make([]byte, 0, size))
		last++
	}
	o := Original{r, uint64(last)<<32 | uint64(len(r.packed[last]))}
	r.packed[last] = binary.AppendUvarint(binary.AppendUvarint(r.packed[last], uint64(row)), uint64(cells))
	return o
}

// largestBlock of rows, in bytes, unless one row has more.
const largestBlock = 1 << 18

// bytes of a row, and of what follows it.
func (o Original) bytes() []byte { return o.rows.packed[o.at>>32][o.at&(1<<32-1):] }

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
	b := &r.packed[len(r.packed)-1]
	*b = binary.AppendUvarint(binary.AppendUvarint(*b, head), number)
	if number == 0 {
		*b = append(binary.AppendUvarint(*b, uint64(len(text))), text...)
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
	rest := o.bytes()
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
	n, _ := binary.Uvarint(o.bytes())
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
