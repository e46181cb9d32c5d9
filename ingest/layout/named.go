package layout

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
)

// Named gives the field that a header names in a table of movements or of cases,
// NoField where it names none, names one with doubts, or names one movement of
// a wide sheet.
func Named(text string) columns.Field {
	for _, k := range []casebook.Kind{casebook.MovementKind, casebook.CaseKind} {
		if h := parse(sheet.Clean(text), k); h.Field != columns.NoField && !h.Weak && !h.wide() {
			return h.Field
		}
	}
	return columns.NoField
}
