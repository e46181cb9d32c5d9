package decide

import (
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// saying is what some cells of a column say.
type saying struct {
	cell  sheet.Cell
	first sheet.Row // where it stands first
	n     int       // of the rows
}

// distinct lists what the cells of a column say in the rows that are wanted, in the order
// in which it comes: few texts of a long column, so that each is read once. The same may
// be listed twice.
func distinct(t *layout.Table, col int, wanted func(sheet.Row) bool) []saying {
	var out []saying
	var byNumber []int32 // index plus one
	others := map[sheet.Cell]int{}
	for _, row := range t.Sheet.Rows {
		if !wanted(row) {
			continue
		}
		c, n := t.Sheet.At(row, col)
		if int(n) >= len(byNumber) {
			byNumber = append(byNumber, make([]int32, int(n)+1-len(byNumber))...)
		}
		at := int(byNumber[n]) - 1
		if at < 0 {
			byNumber[n] = int32(len(out)) + 1
		} else if out[at].cell != c { // of another kind, or of a text without a number
			known, ok := others[c]
			if at = known; !ok {
				at, others[c] = -1, len(out)
			}
		}
		if at < 0 {
			at, out = len(out), append(out, saying{cell: c, first: row})
		}
		out[at].n++
	}
	return out
}

// filled reports a row below the header that has a cell in the column; the example row of
// the template is no evidence.
func filled(t *layout.Table, col int) func(sheet.Row) bool {
	id := t.Find(columns.Case)
	return func(row sheet.Row) bool {
		return row.Number >= t.Body && !row.Broken && !isExample(row.At(id)) && row.At(col).Kind != sheet.Blank
	}
}

// records reports a row that holds a record.
func records(t *layout.Table) func(sheet.Row) bool {
	b := NewBody(t)
	return func(row sheet.Row) bool {
		return row.Number >= t.Body && row.Len() > 0 && !row.Broken && b.Holds(row)
	}
}
