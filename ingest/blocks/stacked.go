package blocks

import (
	"maps"
	"slices"

	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
)

func sorted[V any](m map[int]V) []int { return slices.Sorted(maps.Keys(m)) }

// mostTables is how many different tables may stand on one sheet.
const mostTables = 3

// stack reads tables below each other, each with what the titles above it state.
type stack struct {
	in      *reader
	tables  []*table
	current *table
	heads   map[int]string // by column
	fields  map[int]columns.Field
	places  map[int]place
	said    []label
	fresh   bool // titles were read since the last record
	titled  int  // groups of titles
	headers int
	loose   int // rows that belong to no table
}

// stacked reads a sheet of several tables below each other, or of one whose
// records are parted by titles.
func (in *reader) stacked(s *sheet.Sheet) []*table {
	k := in.stack(s, nil)
	many := len(k.tables) > 1 || k.titled > 1
	if !many || k.headers == 0 || len(k.tables) > mostTables || k.loose > 4*len(k.tables) {
		return nil
	}
	for _, t := range k.tables {
		t.how = "tables below each other, each with its titles"
	}
	return k.tables
}

// stack goes through the rows; more are titles that hold for all of them.
func (in *reader) stack(s *sheet.Sheet, more []label) *stack {
	k := &stack{in: in, said: more, fresh: true}
	for i, r := range s.Rows {
		if r.Len() == 0 {
			continue
		}
		form := k.titled > 0 && k.fresh
		if ls := in.labels(r, form); len(ls) > 0 && !k.isRecord(r) {
			k.titles(ls, more)
		} else if fields, ok := in.header(r); ok {
			k.header(r, fields)
		} else if k.current == nil || in.heading(s.Rows[i:]) {
			k.loose++
		} else {
			k.record(r)
		}
	}
	k.tables = slices.DeleteFunc(k.tables, func(t *table) bool { return len(t.rows) == 0 })
	return k
}

// heading reports a text alone above a header.
func (in *reader) heading(rows []sheet.Row) bool {
	if rows[0].Len() != 1 || rows[0].Cell(0).Kind != sheet.String {
		return false
	}
	for _, r := range rows[1:] {
		if r.Len() > 0 {
			_, ok := in.header(r)
			return ok
		}
	}
	return false
}

// isRecord reports a row that fills the columns of the table as records do.
func (k *stack) isRecord(r sheet.Row) bool {
	if k.current == nil || r.Len() < 3 {
		return false
	}
	for _, c := range r.All() {
		if k.heads[int(c.Col)] == "" {
			return false
		}
		switch k.fields[int(c.Col)] {
		case columns.Tooth, columns.Planned, columns.Achieved:
			if numeric(c) {
				return true
			}
		}
	}
	return false
}

func (k *stack) header(r sheet.Row, fields map[int]columns.Field) {
	k.headers++
	k.heads, k.fields, k.places = map[int]string{}, fields, map[int]place{}
	for _, c := range cellsOf(r) {
		k.heads[c.col], k.places[c.col] = text(c.Cell), c.place
	}
	for _, t := range k.tables {
		if k.same(t) {
			k.current = t
			return
		}
	}
	k.current = &table{}
	k.tables = append(k.tables, k.current)
	for _, col := range sorted(k.heads) {
		k.current.column(k.heads[col], k.places[col])
	}
}

// same reports a table with the same headers.
func (k *stack) same(t *table) bool {
	known := map[string]bool{}
	for _, h := range t.heads {
		known[h.Text] = true
	}
	for _, h := range k.heads {
		if !known[h] {
			return false
		}
	}
	return true
}

// titles begins a group where records were read since the last title.
func (k *stack) titles(ls, more []label) {
	if k.fresh && k.titled > 0 || k.titled == 0 {
		k.said = append(slices.Clone(k.said), ls...)
	} else {
		k.said = append(slices.Clone(more), ls...)
	}
	if !k.fresh || k.titled == 0 {
		k.titled++
	}
	k.fresh = true
}

func (k *stack) record(r sheet.Row) {
	row := map[int]cell{}
	for _, c := range cellsOf(r) {
		if h := k.heads[c.col]; h != "" {
			row[k.current.column(h, k.places[c.col])] = c
		}
	}
	for _, l := range k.said {
		if !k.names(l.field) {
			row[k.current.column(l.head(), l.cell.place)] = l.cell
		}
	}
	k.fresh = false
	if len(row) > 0 {
		k.current.rows = append(k.current.rows, row)
	}
}

// names reports a field that the header of the table itself names.
func (k *stack) names(f columns.Field) bool {
	if f == columns.NoField {
		return false
	}
	for _, o := range k.fields {
		if o == f {
			return true
		}
	}
	return false
}
