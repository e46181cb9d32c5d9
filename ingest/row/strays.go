package row

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// strays are the movements of a wide row of which an amount cannot be read, or that have an
// outcome and no plan: each is refused alone, as long as the row holds another movement.
type strays struct {
	count  int
	errors []casebook.Problem
	keys   []casebook.MovementKey
}

// ofOneMovement reports findings that are all of amounts of the movement read last.
func (r *Reader) ofOneMovement(found []casebook.Problem) bool {
	for _, p := range found {
		own := false
		// any order: one of them is enough
		for f, col := range r.pair.Cols {
			own = own || layout.OfOneMovement(f) && p.Cell == sheet.Ref(r.cells.Number, col)
		}
		if !own {
			return false
		}
	}
	return len(found) > 0
}

// take takes the movement read last out of the row, with its errors; the row had so
// many errors and movements before it.
func (s *strays) take(r *Reader, errors int, moves int32) {
	s.count++
	s.errors = append(s.errors, r.row.Errors()[errors:]...)
	r.row.set(r.row.Errors()[:errors])
	first := len(r.Batch.Movements) - int(r.row.Moves-moves)
	for _, m := range r.Batch.Movements[first:] {
		s.keys = append(s.keys, m.Value.Key())
	}
	r.Batch.Movements, r.row.Moves = r.Batch.Movements[:first], moves
}

// settle refuses them alone, or the row where nothing else is in it.
func (s *strays) settle(r *Reader) {
	if len(s.errors) == 0 {
		return
	}
	r.Refused[r.row] = s.keys
	if r.row.Moves == 0 {
		r.row.Add(s.errors...)
		return
	}
	r.Batch.RefusedAlone += s.count
	for _, p := range s.errors {
		p.Severity = casebook.Warning
		p.Message += "; this movement was refused and the others of the row kept"
		r.notes.Put(p)
	}
}

// amountColumns are the columns that a table of movements says it reads as planned or as
// achieved amounts.
func amountColumns(t *layout.Table) []int {
	if t.Kind != casebook.MovementKind {
		return nil
	}
	var out []int
	for _, c := range t.Columns {
		if c.Field == columns.Planned || c.Field == columns.Achieved {
			out = append(out, c.Col)
		}
	}
	return out
}

// amountsUnread rejects a row of which an amount was looked at for no movement: whatever
// the reason, none is lost without a word.
func (r *Reader) amountsUnread() {
	if len(r.row.Errors()) > 0 {
		return
	}
	for _, col := range r.amounted {
		if c := r.cells.At(col); c.Kind != sheet.Blank && !r.looked[col] {
			r.reject(rules.ColumnAmbiguous, col, c.Kind, "the amount belongs to no movement of the row")
			return
		}
	}
}
