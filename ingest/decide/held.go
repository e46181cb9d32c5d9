package decide

import (
	"iter"

	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// held are the rows of a table that hold a record: nearly every decision goes over them, and
// which they are is looked for once, as soon as no cell changes any more (BenchmarkHeld).
type held struct {
	body *Body
	rows []uint64 // a bit for each row of the sheet, by its place
}

func newHeld(t *layout.Table) *held {
	h := &held{body: NewBody(t), rows: make([]uint64, (len(t.Sheet.Rows)+63)/64)}
	for i, row := range t.Sheet.Rows {
		if row.Number >= t.Body && row.Len() > 0 && !row.Broken && h.body.Holds(row) {
			h.rows[i/64] |= 1 << (i % 64)
		}
	}
	return h
}

// settleCells is called once no cell changes any more.
func (r *File) settleCells() { r.steady, r.held = true, map[*layout.Table]*held{} }

// heldIn are those of a table.
func (r *File) heldIn(t *layout.Table) *held {
	if !r.steady {
		return newHeld(t)
	}
	h := r.held[t]
	if h == nil {
		h = newHeld(t)
		r.held[t] = h
	}
	return h
}

// records gives every row of a table that holds a record.
func (r *File) records(t *layout.Table) iter.Seq[sheet.Row] {
	return func(yield func(sheet.Row) bool) {
		h := r.heldIn(t)
		for i, row := range t.Sheet.Rows {
			if h.rows[i/64]>>(i%64)&1 == 1 && !yield(row) {
				return
			}
		}
	}
}

// eachRow calls f with every row that holds a record.
func (r *File) eachRow(t *layout.Table, f func(sheet.Row)) {
	for row := range r.records(t) {
		f(row)
	}
}
