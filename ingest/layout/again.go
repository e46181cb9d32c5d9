package layout

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/memo"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// secondHeader refuses a sheet on which another header stands among the rows.
// The header of the table itself, repeated as on printed pages, is none where each row
// names its case: where the sheet is of one, its rows are those of another course.
func (f *Found) secondHeader(t *Table) {
	col := t.Find(columns.Case)
	for _, r := range t.Sheet.Rows {
		id := r.At(col)
		plain := id.Kind != sheet.Blank && (id.Kind != sheet.String || !Names(id.Text))
		if r.Number < t.Body || r.Broken {
			continue
		}
		again := t.Repeats(r)
		if ofOne := again && col == 0 && t.Kind == casebook.MovementKind; !ofOne && (again || plain || !HeaderLike(r)) {
			continue
		}
		p := f.add(rules.TablesSeveral, t.Sheet, "a second header stands below the first one")
		p.Row = r.Number
		if r.Len() > 0 {
			p.Cell = sheet.Ref(r.Number, int(r.Cell(0).Col))
		}
		return
	}
}

// Repeats reports a row that repeats the header of the table, or one row of two.
func (t *Table) Repeats(r sheet.Row) bool {
	for _, h := range t.heads {
		if r.Len() > 2 && r.Len() == h.Len() && sameTexts(r, h) {
			return true
		}
	}
	for i := range r.Len() {
		if col := t.column(r.Col(i)); col == nil || !values.Same(col.Text, r.Cell(i).Text) {
			return false
		}
	}
	return r.Len() > 0
}

func sameTexts(r, h sheet.Row) bool {
	for i := range r.Len() {
		if r.Col(i) != h.Col(i) || !values.Same(r.Cell(i).Text, h.Cell(i).Text) {
			return false
		}
	}
	return true
}

// Names reports whether a text is the header of the column of cases.
func Names(text string) bool {
	return caseHeader.Get(text, func(text string) bool {
		return dictionaries[casebook.MovementKind][values.Key(text)].Field == columns.Case
	})
}

// caseHeader remembers texts: each row of a sheet is asked about, in several turns.
var caseHeader memo.Memo[string, bool]

// HeaderLike reports whether a row below a header looks like another one: at
// least three texts, all of them names of columns.
func HeaderLike(r sheet.Row) bool {
	n := 0
	for _, c := range r.All() {
		if c.Kind != sheet.String {
			return false
		}
		bare, _ := stripUnit(c.Text)
		k := values.Key(bare)
		for _, d := range dictionaries {
			if d[k].Field != columns.NoField {
				n++
				break
			}
		}
	}
	return n >= 3 && 2*n >= r.Len()
}
