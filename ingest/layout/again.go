package layout

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Names reports whether a text is the header of the column of cases.
func Names(text string) bool {
	return dictionaries[casebook.MovementKind][values.Key(text)].Field == columns.Case
}

// HeaderLike reports whether a row below a header looks like another one: at
// least three texts, all of them names of columns.
func HeaderLike(r sheet.Row) bool {
	n := 0
	for _, c := range r.Cells {
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
	return n >= 3 && 2*n >= len(r.Cells)
}
