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

// labels reads "case: P-001" or a label with its value to the right above the
// header as constants of a table without such a column.
func (f *Found) labels(t *Table, header int) {
	for _, r := range t.Sheet.Rows[:header] {
		for i, c := range r.All() {
			if c.Kind != sheet.String {
				continue
			}
			label, value, inOne := strings.Cut(c.Text, ":")
			if value = strings.TrimSpace(value); !inOne || value == "" {
				if i+1 >= r.Len() || r.Cell(i+1).Col != c.Col+1 {
					continue
				}
				value = r.Cell(i + 1).Text
			}
			h := parse(clean(label), casebook.MovementKind)
			if h.Weak || h.wide() {
				continue
			}
			if h.Field != columns.Case && h.Field != columns.Course && !IsCaseField(h.Field) || t.Has(h.Field) {
				continue
			}
			if _, err := values.ParseStatus(value); err == nil && h.Field == columns.EndMonth {
				h.Field = columns.Status // "closed: completed"
			}
			t.Constants[h.Field] = strings.TrimSpace(value)
			p := f.add(rules.LayoutAssumed, t.Sheet, "the label above the table was read as %s for every row", h.Field)
			p.Cell = sheet.Ref(r.Number, int(c.Col))
		}
	}
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
	if _, ok := saidCourse(name); ok {
		return true
	}
	return slices.Contains(newSheets, strings.TrimSpace(strings.TrimRight(values.Key(name), "0123456789")))
}
