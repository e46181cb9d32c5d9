// Package blocks turns a sheet that is no plain table into plain tables: teeth
// across and movements down, a small form a case, tables below or beside each
// other, fields down and movements across, several values joined in one cell.
//
// Place in the pipeline: between sheet and layout. Every cell of a table made
// here remembers where it stands in the sheet, so that findings are located
// there. A sheet that is not understood whole is left as it is, and layout
// reads or refuses it.
package blocks

import (
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Named gives the field that a header names, NoField where it names none.
type Named func(text string) columns.Field

// place is a cell of the sheet as it came; on is nil for the sheet of which the
// table was made.
type place struct {
	on       *sheet.Sheet
	row, col int
}

// Part is a plain table made of a sheet.
type Part struct {
	Sheet *sheet.Sheet
	from  *sheet.Sheet
	at    map[place]place
	width int
	how   string
	pairs bool
}

// How says in plain words how the sheet was taken apart.
func (p *Part) How() string { return p.how }

// Arranged is a file whose odd sheets have been turned into plain ones.
type Arranged struct {
	Sheets []*sheet.Sheet // plain sheets as they came, and the parts of the others
	Rest   []*sheet.Sheet // cells of odd sheets that are in no part
	Parts  []*Part
}

// largest sheet, in rows, that is looked at: people do not keep forms and charts
// of more.
const largest = 5_000

// Arrange looks at every sheet.
func Arrange(sheets []*sheet.Sheet, named Named) *Arranged {
	a := &Arranged{}
	cache := map[string]columns.Field{}
	in := &reader{named: func(text string) columns.Field {
		f, ok := cache[text]
		if !ok {
			f = named(text)
			cache[text] = f
		}
		return f
	}}
	for i, s := range sheets {
		if i > 0 && len(a.Sheets) > 0 && a.Sheets[len(a.Sheets)-1] == sheets[i-1] && a.joinHalves(in, sheets[i-1], s) {
			continue
		}
		parts := in.arrange(s)
		if len(parts) == 0 {
			a.Sheets = append(a.Sheets, s)
			continue
		}
		for _, p := range parts {
			a.Sheets = append(a.Sheets, p.Sheet)
		}
		a.Parts = append(a.Parts, parts...)
		a.Rest = append(a.Rest, rest(s, parts))
	}
	return a
}

// joinHalves puts a sheet of outcomes to the sheet of plans before it.
func (a *Arranged) joinHalves(in *reader, before, s *sheet.Sheet) bool {
	if len(before.Rows) > largest || len(s.Rows) > largest {
		return false
	}
	t := in.halves(before, s)
	if t == nil {
		return false
	}
	parts := finish(before, []*table{t})
	a.Sheets[len(a.Sheets)-1] = parts[0].Sheet
	a.Parts = append(a.Parts, parts...)
	a.Rest = append(a.Rest, rest(before, parts), rest(s, parts))
	return true
}

// reader tries the kinds of odd sheets one after the other.
type reader struct{ named Named }

func (in *reader) arrange(s *sheet.Sheet) []*Part {
	if len(s.Rows) < 2 || len(s.Rows) > largest {
		return nil
	}
	for _, try := range []func(*sheet.Sheet) []*table{in.turned, in.chart, in.grid, in.beside, in.across, in.stacked, in.joined, in.pairs, in.phrases, in.long} {
		if tables := try(s); len(tables) > 0 {
			return finish(s, tables)
		}
	}
	return nil
}

// restMark tells the rest of a sheet from its parts.
const restMark = "\x00rest"

// From gives the sheet of the file that a sheet was made of, itself where it was
// left as it is.
func (a *Arranged) From(s *sheet.Sheet) *sheet.Sheet {
	for _, p := range a.Parts {
		if p.Sheet == s {
			return p.from
		}
	}
	return s
}

// rest gathers the cells of a sheet that went into no part.
func rest(s *sheet.Sheet, parts []*Part) *sheet.Sheet {
	used := map[place]bool{}
	for _, p := range parts {
		for _, from := range p.at {
			if p.sheetOf(from) == s {
				used[place{nil, from.row, from.col}] = true
			}
		}
	}
	out := &sheet.Sheet{Name: s.Name + restMark}
	for _, r := range s.Rows {
		left := out.NewRow(r.Number)
		for _, c := range r.All() {
			if !used[place{nil, r.Number, int(c.Col)}] && !plainWords(c.Text) {
				left.Add(c)
			}
		}
		if left.Len() > 0 {
			out.Rows = append(out.Rows, left)
		}
	}
	return out
}

// plainWords reports a text made of words that headers and titles are made of.
func plainWords(s string) bool {
	tokens := lexicon.Tokens(s)
	return len(tokens) > 0 && len(lexicon.Unknown(tokens)) == 0
}

// cell is a cell with its place.
type cell struct {
	sheet.Cell
	place
}

// table is a plain table in the making.
type table struct {
	how   string
	pairs bool // the columns of two amounts in one cell are parted
	heads []cell
	rows  []map[int]cell // by index into heads
}

// column finds or adds a column.
func (t *table) column(text string, at place) int {
	for i, h := range t.heads {
		if h.Text == text {
			return i
		}
	}
	t.heads = append(t.heads, cell{sheet.Cell{Kind: sheet.String, Text: text}, at})
	return len(t.heads) - 1
}

// finish gives each table its sheet: the header in row 1 and records below, or where each
// record is one row of the sheet the rows keep their numbers, which questions name.
func finish(s *sheet.Sheet, tables []*table) []*Part {
	var out []*Part
	for n, t := range tables {
		p := &Part{Sheet: &sheet.Sheet{Name: s.Name, Hidden: s.Hidden}, from: s, at: map[place]place{}, width: len(t.heads), how: t.how, pairs: t.pairs}
		if n > 0 {
			p.Sheet.Name += strings.Repeat("'", n) // told apart until findings are located again
		}
		put := func(row int, cells map[int]cell) {
			r := p.Sheet.NewRow(row)
			for i := range t.heads {
				c, ok := cells[i]
				if !ok || c.Kind == sheet.Blank {
					continue
				}
				c.Col = int32(i + 1)
				r.Add(c.Cell)
				p.at[place{nil, row, i + 1}] = c.place
			}
			if r.Len() > 0 {
				p.Sheet.Rows = append(p.Sheet.Rows, r)
			}
		}
		heads := map[int]cell{}
		for i, h := range t.heads {
			heads[i] = h
		}
		numbers := t.numbers()
		put(numbers[0], heads)
		for i, r := range t.rows {
			put(numbers[i+1], r)
		}
		out = append(out, p)
	}
	return out
}

// numbers of the rows of a table, that of the header first.
func (t *table) numbers() []int {
	plain := make([]int, len(t.rows)+1)
	for i := range plain {
		plain[i] = i + 1
	}
	own := []int{0}
	for _, h := range t.heads {
		own[0] = max(own[0], h.row)
	}
	for i, r := range t.rows {
		row := 0 // what titles state stands above it
		for _, c := range r {
			if c.on != nil {
				return plain
			}
			row = max(row, c.row)
		}
		if i == 0 && row > 1 {
			own[0] = min(own[0], row-1) // of a title further down that got a column
		}
		if row <= own[len(own)-1] {
			return plain
		}
		own = append(own, row)
	}
	return own
}

// cellsOf gives the cells of a row with their places.
func cellsOf(r sheet.Row) []cell {
	out := make([]cell, r.Len())
	for i, c := range r.All() {
		out[i] = cell{c, place{nil, r.Number, int(c.Col)}}
	}
	return out
}

func text(c sheet.Cell) string { return sheet.Spaced(c.Text) }

// numeric reports a number, also one kept as text.
func numeric(c sheet.Cell) bool {
	if c.Kind == sheet.Number || c.Kind == sheet.Date {
		return true
	}
	if c.Kind != sheet.String || len(c.Text) > 12 {
		return false
	}
	_, err := values.ParseAmount(c.Text, '.')
	if err != nil {
		_, err = values.ParseAmount(c.Text, ',')
	}
	return err == nil
}

// header gives the fields of a row of column names: at least three of them known
// and different, hardly any unknown, no number among them.
func (in *reader) header(r sheet.Row) (map[int]columns.Field, bool) {
	if r.Len() < 3 {
		return nil, false
	}
	out, different := map[int]columns.Field{}, map[columns.Field]bool{}
	for _, c := range r.All() {
		if c.Kind != sheet.String || numeric(c) {
			return nil, false
		}
		if f := in.named(text(c)); f != columns.NoField {
			out[int(c.Col)] = f
			different[f] = true
		}
	}
	return out, len(different) >= 3 && 3*len(out) >= 2*r.Len()
}

// Locate gives the place in the file of a cell of a part, or of a row of it.
func (a *Arranged) Locate(name, ref string, row int) (sheetName, cellRef string, number int) {
	i := slices.IndexFunc(a.Parts, func(p *Part) bool { return p.Sheet.Name == name })
	if i < 0 {
		return strings.TrimSuffix(name, restMark), ref, row
	}
	p := a.Parts[i]
	if col, r, err := excelize.CellNameToCoordinates(ref); ref != "" && err == nil {
		if from, ok := p.at[place{nil, r, col}]; ok {
			return p.sheetOf(from).Name, sheet.Ref(from.row, from.col), from.row
		}
		row, ref = r, ""
	}
	return p.from.Name, "", p.rowOf(row)
}

func (p *Part) sheetOf(at place) *sheet.Sheet {
	if at.on != nil {
		return at.on
	}
	return p.from
}

// rowOf is the row of the file from which most of a row was taken: the last one,
// where the amounts stand.
func (p *Part) rowOf(row int) int {
	number := 0
	for col := range p.width {
		if from, ok := p.at[place{nil, row, col + 1}]; ok && from.on == nil {
			number = max(number, from.row)
		}
	}
	return number
}
