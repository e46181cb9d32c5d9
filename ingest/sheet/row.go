package sheet

import (
	"iter"
	"slices"
)

// Row is one row that holds at least one cell, or is hidden. Copies of a row share its
// cells; what is put into one of them later is not in the others.
type Row struct {
	cells  []compact // ascending by column
	texts  *texts    // which the cells refer to
	Number int       // 1-based
	Hidden bool
	// Broken marks a line of text with a quotation mark inside a cell: where it
	// ends is known, where its cells begin is not.
	Broken bool
}

// Cell holds one value as stored. Numbers keep their stored digits, with a
// point; a date is the serial day; formatting is never applied, since it rounds.
type Cell struct {
	Text    string
	Col     int32 // 1-based
	Kind    Kind
	Percent bool // the number is shown as a percentage
}

// compact is a Cell as it is kept: a third of its size and without a pointer, so that a
// million rows of 14 columns take 0.1 GB, which the collector of memory need not look at.
type compact struct {
	text    uint32 // number of the text
	col     uint16
	kind    Kind
	percent bool
}

// widest is the last column that a compact cell can stand in.
const widest = 1<<16 - 1

// texts are what the cells of a book say, by number; number 0 is the empty text.
type texts struct {
	list   []string
	recent *recent // where texts that come again are looked for
}

// recent knows the numbers of short texts that came lately, by their hash.
type recent [1 << 14]uint32

// longestRecent is how long a text may be that is looked for among the recent ones.
const longestRecent = 24

// newTexts begins with the texts that cells of a workbook share: text i has number i+1.
func newTexts(shared []string) *texts {
	return &texts{list: append([]string{""}, shared...), recent: &recent{}}
}

// fewTexts are for cells whose texts hardly come again.
func fewTexts() *texts { return &texts{list: []string{""}} }

// number of a text, which is kept if it is not known. Each has two places among the recent
// ones, so that two frequent texts seldom take each other's.
func number[T string | []byte](t *texts, s T) uint32 {
	if len(s) == 0 {
		return 0
	}
	if t.recent == nil || len(s) > longestRecent {
		return t.add(string(s))
	}
	at := slot(s)
	first, second := &t.recent[at], &t.recent[at^1]
	switch {
	case t.list[*first] == string(s):
		return *first
	case t.list[*second] == string(s):
		return *second
	}
	*second = *first
	*first = t.add(string([]byte(s))) // a copy: it may be a piece of a line that goes
	return *first
}

func (t *texts) add(s string) uint32 {
	t.list = append(t.list, s)
	return uint32(len(t.list) - 1)
}

// slot of a text among the recent ones (FNV-1a, folded).
func slot[T string | []byte](s T) uint32 {
	h := uint32(2166136261)
	for i := range len(s) {
		h = (h ^ uint32(s[i])) * 16777619
	}
	return (h ^ h>>14) & (1<<14 - 1)
}

func (t *texts) pack(c Cell) compact {
	return compact{text: number(t, c.Text), col: uint16(c.Col), kind: c.Kind, percent: c.Percent}
}

func (t *texts) unpack(p compact) Cell {
	return Cell{Text: t.list[p.text], Col: int32(p.col), Kind: p.kind, Percent: p.percent}
}

// NewRow begins a row of the sheet, to be appended to its rows.
func (s *Sheet) NewRow(number int) Row {
	if s.texts == nil {
		s.texts = fewTexts()
	}
	return Row{Number: number, texts: s.texts}
}

// RowOf is a row by itself.
func RowOf(number int, cells ...Cell) Row {
	r := Row{Number: number}
	for _, c := range cells {
		r.Add(c)
	}
	return r
}

// Len is the number of cells.
func (r Row) Len() int { return len(r.cells) }

// Col is the column of the i-th cell from the left.
func (r Row) Col(i int) int { return int(r.cells[i].col) }

// Kind of the i-th cell from the left.
func (r Row) Kind(i int) Kind { return r.cells[i].kind }

// Cell is the i-th cell from the left.
func (r Row) Cell(i int) Cell { return r.texts.unpack(r.cells[i]) }

// Number of the text of the i-th cell among the texts of the sheet: cells of one sheet with
// the same number say the same. It is 0 where nothing is known.
func (s *Sheet) Number(r Row, i int) uint32 {
	if r.texts != s.texts {
		return 0
	}
	return r.cells[i].text
}

// MaySay reports whether f holds of a text that a cell of the sheet may hold, without a look
// at each cell.
func (s *Sheet) MaySay(f func(text string) bool) bool {
	if slices.ContainsFunc(s.Rows, func(r Row) bool { return r.texts != s.texts && r.Any(func(c Cell) bool { return f(c.Text) }) }) {
		return true
	}
	return s.texts != nil && slices.ContainsFunc(s.texts.list, f)
}

// At is Row.At and the number of the text.
func (s *Sheet) At(r Row, col int) (Cell, uint32) {
	if i, ok := r.find(col); ok {
		return r.Cell(i), s.Number(r, i)
	}
	return Cell{}, 0
}

// All gives the cells from left to right, each with its number.
func (r Row) All() iter.Seq2[int, Cell] {
	return func(yield func(int, Cell) bool) {
		for i, p := range r.cells {
			if !yield(i, r.texts.unpack(p)) {
				return
			}
		}
	}
}

// Cells lists the cells.
func (r Row) Cells() []Cell {
	out := make([]Cell, len(r.cells))
	for i := range r.cells {
		out[i] = r.Cell(i)
	}
	return out
}

// Any reports whether f holds of a cell.
func (r Row) Any(f func(Cell) bool) bool {
	for _, p := range r.cells {
		if f(r.texts.unpack(p)) {
			return true
		}
	}
	return false
}

// At finds the cell of a column in a row; a blank one is the zero Cell.
func (r Row) At(col int) Cell {
	if i, ok := r.find(col); ok {
		return r.Cell(i)
	}
	return Cell{}
}

// find gives the place of a column among the cells, or the one where it would be: as many
// places to the left of its own as there are blank cells before it, mostly a few.
func (r Row) find(col int) (i int, ok bool) {
	hi := max(0, min(col, len(r.cells)))
	for range fewBlank {
		if hi == 0 {
			return 0, false
		}
		if at := int(r.cells[hi-1].col); at <= col {
			if at == col {
				return hi - 1, true
			}
			return hi, false
		}
		hi--
	}
	lo := 0
	for lo < hi {
		mid := (lo + hi) / 2
		if int(r.cells[mid].col) < col {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo, lo < len(r.cells) && int(r.cells[lo].col) == col
}

// fewBlank cells are passed one by one; of more, halves are left out (BenchmarkFind).
const fewBlank = 8

// Add appends a cell to the right of all others.
func (r *Row) Add(c Cell) {
	if r.texts == nil {
		r.texts = fewTexts()
	}
	r.cells = append(r.cells, r.texts.pack(c))
}

// Put gives a column of the row another cell.
func (r *Row) Put(c Cell) {
	if r.texts == nil {
		r.texts = fewTexts()
	}
	i, ok := r.find(int(c.Col))
	r.cells = slices.Clone(r.cells)
	if ok {
		r.cells[i] = r.texts.pack(c)
		return
	}
	r.cells = slices.Insert(r.cells, i, r.texts.pack(c))
}

// Remove takes the cell of a column away; false where there is none.
func (r *Row) Remove(col int) bool {
	i, ok := r.find(col)
	if ok {
		r.cells = slices.Delete(slices.Clone(r.cells), i, i+1)
	}
	return ok
}

// Clear gives up all cells.
func (r *Row) Clear() { r.cells = nil }

// First is the row with its first n cells alone.
func (r Row) First(n int) Row {
	r.cells = r.cells[:n]
	return r
}
