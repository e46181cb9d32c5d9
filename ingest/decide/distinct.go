package decide

import (
	"iter"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/memo"
	"shortfall/ingest/sheet"
)

// saying is what some cells of a column say.
type saying struct {
	cell  sheet.Cell
	first sheet.Row // where it stands first
	n     int       // of the rows
}

// distinct lists what the cells of a column say in some rows of its table, in the order
// in which it comes: few texts of a long column, so that each is read once. The same may
// be listed twice.
func distinct(t *layout.Table, col int, rows iter.Seq[sheet.Row]) []saying {
	var out []saying
	var byNumber []int32 // index plus one
	others := map[sheet.Cell]int{}
	for row := range rows {
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

// filled gives the rows below the header that have a cell in the column; the example row of
// the template is no evidence.
func filled(t *layout.Table, col int) iter.Seq[sheet.Row] {
	id := t.Find(columns.Case)
	example := memo.ByNumber(func(text string) bool { return isExample(sheet.Cell{Kind: sheet.String, Text: text}) })
	return wanted(t, func(row sheet.Row) bool {
		if row.Number < t.Body || row.Broken || row.At(col).Kind == sheet.Blank {
			return false
		}
		c, n := t.Sheet.At(row, id)
		return c.Kind != sheet.String || !example.Get(n, c.Text)
	})
}

// wanted gives the rows of a table of which something holds.
func wanted(t *layout.Table, holds func(sheet.Row) bool) iter.Seq[sheet.Row] {
	return func(yield func(sheet.Row) bool) {
		for _, row := range t.Sheet.Rows {
			if holds(row) && !yield(row) {
				return
			}
		}
	}
}
