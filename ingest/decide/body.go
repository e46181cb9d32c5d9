package decide

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/memo"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Body tells records from totals, repeated headers and example rows.
type Body struct {
	t       *layout.Table
	caseCol int
	sums    map[int]bool // rows that sum up those above them
	key     int          // first row of a key below the records, 0 for none
	codes   *memo.Numbered[codeText]
	void    *memo.Numbered[bool]
	read    []bool // by column
}

// NewBody looks where the records of a table end.
func NewBody(t *layout.Table) *Body {
	b := &Body{t: t, caseCol: t.Find(columns.Case), key: keyBelow(t), sums: sumRows(t, t.Find(columns.Case)), codes: memo.ByNumber(codeOf), void: memo.ByNumber(takesBack)}
	for _, c := range t.Columns {
		b.read = append(b.read, make([]bool, max(0, c.Col+1-len(b.read)))...)
		b.read[c.Col] = c.Field != columns.NoField
	}
	return b
}

// codeText is what a text in the column of cases is.
type codeText uint8

const (
	ofExample codeText = iota // the code of the template's example
	ofNoCase                  // a header or a word for a total
	ofCase
)

func codeOf(text string) codeText {
	switch {
	case strings.EqualFold(strings.TrimSpace(text), columns.ExampleID):
		return ofExample
	case layout.Names(text) || values.IsTotal(text):
		return ofNoCase
	}
	return ofCase
}

func isExample(id sheet.Cell) bool {
	return id.Kind == sheet.String && strings.EqualFold(strings.TrimSpace(id.Text), columns.ExampleID)
}

// Holds reports whether a row below the header holds a record.
func (b *Body) Holds(r sheet.Row) bool {
	id, n := b.t.Sheet.At(r, b.caseCol)
	code := ofCase
	if id.Kind == sheet.String {
		code = b.codes.Get(n, id.Text)
	}
	switch {
	case b.key > 0 && r.Number >= b.key:
		return false
	case code == ofExample:
		return false
	case b.remark(r):
		return false
	case b.totalOfTeeth(r):
		return false
	case b.sums[r.Number]:
		return false
	case id.Kind != sheet.Blank && code == ofCase:
		return true
	}
	return !b.t.Repeats(r) && !b.total(r) && !b.mark(r)
}

// Closes reports a row that ends a block of rows: a total, or the example.
func (b *Body) Closes(r sheet.Row) bool {
	id := r.At(b.caseCol)
	if isExample(id) || b.remark(r) {
		return isExample(id)
	}
	return b.total(r) || b.totalOfTeeth(r) || b.sums[r.Number]
}

// totalOfTeeth reports a row that has a word for a total in the place of its tooth, and names
// no movement.
func (b *Body) totalOfTeeth(r sheet.Row) bool {
	col := b.t.Find(columns.Tooth)
	tooth := r.At(col)
	return col > 0 && tooth.Kind == sheet.String && values.IsFirmTotal(tooth.Text) && r.At(b.t.Find(columns.Axis)).Kind == sheet.Blank
}

// remark reports a row of texts beside or below the records of movements, such as
// a legend: it has no tooth and no amount.
func (b *Body) remark(r sheet.Row) bool {
	if b.t.Kind != casebook.MovementKind || r.Len() > 3 {
		return false
	}
	for _, f := range []columns.Field{columns.Tooth, columns.Planned, columns.Achieved, columns.Residual, columns.EndPosition, columns.StatedPercent} {
		if col := b.t.Find(f); col > 0 && r.At(col).Kind != sheet.Blank {
			return false
		}
	}
	if len(b.t.Pairs) > 0 || b.t.Find(columns.Tooth) == 0 {
		for _, c := range r.All() {
			if col, ok := b.t.ColumnAt(int(c.Col)); ok && col.Shared {
				return false
			}
		}
	}
	return !r.Any(func(c sheet.Cell) bool { return c.Kind != sheet.String })
}

// total reports a row of totals: a word for one, and neither a case nor a tooth
// of its own. A row that names a tooth has lost its case and is no total, even
// where "n" in it stands for no.
func (b *Body) total(r sheet.Row) bool {
	if tooth := r.At(b.t.Find(columns.Tooth)); tooth.Kind != sheet.Blank && !values.IsTotal(tooth.Text) {
		return false
	}
	return r.Any(func(c sheet.Cell) bool { return c.Kind == sheet.String && values.IsTotal(c.Text) })
}

// mark reports a row that only declares the file invented.
func (b *Body) mark(r sheet.Row) bool {
	return r.Len() == 1 && strings.Contains(strings.ToLower(r.Cell(0).Text), columns.InventedMark)
}
