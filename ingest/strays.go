package ingest

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
	errors []casebook.Problem
	keys   []casebook.MovementKey
}

// ofOneMovement reports findings that are all of amounts of the movement read last.
func (r *rowReader) ofOneMovement(found []casebook.Problem) bool {
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
func (s *strays) take(r *rowReader, errors int, moves int32) {
	s.errors = append(s.errors, r.row.errors()[errors:]...)
	r.row.set(r.row.errors()[:errors])
	first := len(r.batch.Movements) - int(r.row.moves-moves)
	for _, m := range r.batch.Movements[first:] {
		s.keys = append(s.keys, m.Value.Key())
	}
	r.batch.Movements, r.row.moves = r.batch.Movements[:first], moves
}

// settle refuses them alone, or the row where nothing else is in it.
func (s *strays) settle(r *rowReader) {
	if len(s.errors) == 0 {
		return
	}
	r.refused[r.row] = s.keys
	if r.row.moves == 0 {
		r.row.add(s.errors...)
		return
	}
	for _, p := range s.errors {
		p.Severity = casebook.Warning
		p.Message += casebook.RefusedAlone
		r.notes.put(p)
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
func (r *rowReader) amountsUnread() {
	if len(r.row.errors()) > 0 {
		return
	}
	for _, col := range r.amounted {
		if c := r.cells.At(col); c.Kind != sheet.Blank && !r.looked[col] {
			r.reject(rules.ColumnAmbiguous, col, c.Kind, "the amount belongs to no movement of the row")
			return
		}
	}
}
