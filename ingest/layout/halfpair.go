package layout

import (
	"fmt"
	"slices"

	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// pairFields are the two amounts of a movement.
var pairFields = []columns.Field{columns.Planned, columns.Achieved}

// halfPair refuses a sheet that has one column in the place of two: one column of amounts that
// no header names, or one that is named after both. Asked for each of the two amounts, it would
// be offered as both, and all that was planned be all that was achieved.
func (f *Found) halfPair(t *Table) bool {
	for _, field := range pairFields {
		if d, _ := columns.Find(t.Kind, field); !d.Required || f.present(t, d) {
			return false
		}
	}
	if at := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Field == columns.NoField && namesBoth(c.Text) }); at >= 0 {
		c := t.Columns[at]
		p := f.add(rules.ColumnMissing, t.Sheet, "the column is named after what was planned and what was achieved, and a cell of it holds one amount")
		p.Cell, p.Column = sheet.Ref(t.firstAlone(c.Col), c.Col), c.Text
		p.Remedy = "Write both amounts into every cell, with a slash between and \"not measured\" for one that was not measured, or in two columns, planned and achieved"
		return true
	}
	at := t.candidatesFor(columns.Planned)
	if len(at) != 1 || !slices.Equal(at, t.candidatesFor(columns.Achieved)) {
		return false
	}
	c := t.Columns[at[0]]
	p := f.add(rules.ColumnMissing, t.Sheet, "the sheet has one column of amounts, which no header names, in the place of two: what was planned, and what was achieved")
	p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
	p.Remedy = fmt.Sprintf("Add the other column under the header planned or achieved, and say which one this is with --answer \"column planned=%[1]s\" or --answer \"column achieved=%[1]s\"", t.nameOf(at[0]))
	return true
}

// namesBoth reports a header of a plan and of an outcome.
func namesBoth(header string) bool {
	said := lexicon.Of(lexicon.Tokens(header))
	return said[lexicon.Planned] && said[lexicon.Achieved]
}

// firstAlone is the first row with one amount in a column, else the header.
func (t *Table) firstAlone(col int) int {
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || r.At(col).Kind == sheet.Blank {
			continue
		}
		if _, err := values.ParseAmount(r.At(col).Text, 0); err == nil {
			return r.Number
		}
	}
	return t.Header
}
