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
	in       *reader
	tables   []*table
	current  *table
	heads    map[int]string // by column
	fields   map[int]columns.Field
	places   map[int]place
	said     []label
	sections []section
	title    cell // the loose text just above a header
	tell     bool // the course of each section is to be told
	untold   cell // stands for it where no title does
	fresh    bool // titles were read since the last record
	titled   int  // groups of titles
	groups   int  // those with records
	headers  int
	loose    int  // rows that belong to no table
	unclear  bool // two columns of one name
}

// stacked reads a sheet of several tables below each other, or of one whose
// records are parted by titles.
func (in *reader) stacked(s *sheet.Sheet) []*table {
	k := in.stack(s, nil, false)
	many := len(k.tables) > 1 || k.groups > 1
	if k.byCourse() {
		k, many = in.stack(s, nil, true), true
	}
	if !many || k.unclear || k.headers == 0 || len(k.tables) > mostTables || k.loose > 4*len(k.sections) {
		return nil
	}
	for _, t := range k.tables {
		t.how = "tables below each other, each with its titles"
	}
	return k.tables
}

// stack goes through the rows; more are titles that hold for all of them.
func (in *reader) stack(s *sheet.Sheet, more []label, tell bool) *stack {
	k := &stack{in: in, said: more, fresh: true, tell: tell}
	for i := 0; i < len(s.Rows); i++ {
		r := s.Rows[i]
		if r.Len() == 0 {
			continue
		}
		form := k.titled > 0 && k.fresh
		if ls := in.labels(r, form); len(ls) > 0 && !k.isRecord(r) {
			k.titles(ls, more, r.Number)
		} else if h := in.headingAt(s, s.Rows[i:]); h != nil {
			k.header(h, r.Number)
			i += h.rows - 1
		} else if over := in.isTitle(s, s.Rows[i:]); over || k.current == nil {
			k.loose++
			if over {
				k.title = cellsOf(r)[0]
			}
		} else {
			k.record(r)
		}
	}
	k.tables = slices.DeleteFunc(k.tables, func(t *table) bool { return len(t.rows) == 0 })
	return k
}

// isTitle reports a text or two above a header.
func (in *reader) isTitle(s *sheet.Sheet, rows []sheet.Row) bool {
	if rows[0].Len() > 2 || !words(rows[0]) {
		return false
	}
	for i, r := range rows[1:] {
		if r.Len() > 0 {
			return in.headingAt(s, rows[1+i:]) != nil
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

func (k *stack) header(h *heading, number int) {
	k.headers++
	k.unclear = k.unclear || h.twice()
	k.heads, k.fields, k.places = h.texts, h.fields, h.places
	if !k.fresh {
		k.said = ofCase(k.said) // a table of its own, whose course the one above does not say
	}
	k.begin(number)
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
func (k *stack) titles(ls, more []label, number int) {
	has := func(f columns.Field) bool {
		return slices.ContainsFunc(ls, func(l label) bool { return l.field == f })
	}
	below, before := !k.fresh, ofCase(k.said)
	switch {
	case k.fresh || k.titled == 0:
		k.said = append(slices.Clone(k.said), ls...)
	default:
		k.said = append(slices.Clone(more), ls...)
		if on, ok := k.goesOn(ls); ok {
			k.said = append(before, on...)
		}
	}
	if below || k.titled == 0 {
		k.titled++
	}
	k.fresh = true
	if below && k.current != nil && has(columns.Course) {
		k.begin(number)
	}
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
	isCourse := func(l label) bool { return l.field == columns.Course }
	if k.tell && !k.names(columns.Course) && !slices.ContainsFunc(k.said, isCourse) {
		row[k.current.column(stated[columns.Course], k.untold.place)] = k.untold
	}
	if k.fresh && k.titled > 0 {
		k.groups++
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
