package layout

import (
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Label is a value that stands above a table and holds for every row of it.
type Label struct {
	Cell sheet.Cell
	Row  int
	Text string // the label
}

// Ref is the cell of the value.
func (l Label) Ref() string { return sheet.Ref(l.Row, int(l.Cell.Col)) }

// labels reads "case: P-001" or a label with its value to the right above the
// header as constants of a table without such a column.
func (f *Found) labels(t *Table, header int) {
	for _, r := range t.Sheet.Rows[:header] {
		for i, c := range r.All() {
			if c.Kind != sheet.String {
				continue
			}
			label, value, inOne := strings.Cut(c.Text, ":")
			at := c
			if at.Text = strings.TrimSpace(value); !inOne || at.Text == "" {
				var ok bool
				if at, ok = sheet.ValueOf(r, i, isLabel); !ok {
					continue
				}
			}
			f.label(t, strings.TrimSpace(label), at, r.Number, int(c.Col))
		}
	}
}

// isLabel reports the name of a column or of what a label above a table may state.
func isLabel(text string) bool {
	return parse(text, casebook.MovementKind).Field != columns.NoField
}

// label takes a label above the table as a constant of it.
func (f *Found) label(t *Table, text string, value sheet.Cell, row, col int) {
	h := parse(sheet.Clean(text), casebook.MovementKind)
	if h.Weak || h.wide() {
		return
	}
	if h.Field != columns.Case && h.Field != columns.Course && !IsCaseField(h.Field) || t.Has(h.Field) {
		return
	}
	if _, err := values.ParseStatus(value.Text); err == nil && h.Field == columns.EndMonth {
		h.Field = columns.Status // "closed: completed"
	}
	value.Text = strings.TrimSpace(value.Text)
	t.Constants[h.Field] = value.Text
	t.Labels[h.Field] = Label{value, row, text}
	p := f.add(rules.LayoutAssumed, t.Sheet, "the label above the table was read as %s for every row", h.Field)
	p.Cell = sheet.Ref(row, col)
}

// casePerSheet takes the sheet name as the case where several sheets of the
// same columns have none. Names that programs give to new sheets, and names of
// courses, are no cases.
func (f *Found) casePerSheet() {
	alike := map[string][]*Table{}
	for _, t := range f.Tables {
		if t.Kind == casebook.MovementKind && !t.Has(columns.Case) && !plainName(t.Sheet.Name) {
			alike[t.shape()] = append(alike[t.shape()], t)
		}
	}
	for _, shape := range slices.Sorted(maps.Keys(alike)) {
		if len(alike[shape]) < 2 {
			continue
		}
		for _, t := range alike[shape] {
			t.Constants[columns.Case] = t.Sheet.Name
			f.add(rules.LayoutAssumed, t.Sheet, "the sheet was read as one case, named after the sheet")
		}
	}
}

// newSheets are the names that spreadsheet programs give to new sheets, in the
// languages of the lexicon, without their number (common practice, no source).
var newSheets = []string{"sheet", "table", "tabelle", "blatt", "feuil", "feuille", "hoja", "foglio", "folha", "planilha", "blad", "arkusz", "data", "daten"}

// plainName reports the name of a sheet that cannot be a case.
func plainName(name string) bool {
	if _, ok := values.CourseSaid(name); ok {
		return true
	}
	return slices.Contains(newSheets, strings.TrimSpace(strings.TrimRight(values.Key(name), "0123456789")))
}
