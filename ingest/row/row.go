package row

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
)

// Row is one row of a table while it is read: what it gave and what is wrong
// with it. A row with an error gives no record.
type Row struct {
	Table    *layout.Table
	Original casebook.Original
	wrong    *[]casebook.Problem // nil for most rows
	*Said
	Number int32
	// Its movements are those of the batch from number First on, so many.
	First, Moves int32
}

// Said is what a row gave besides its movements; rows that say the same may share it.
type Said struct {
	Case    *casebook.Case
	Courses []casebook.Course
	Repeat  *casebook.Repeat
}

// Errors are what is wrong with the row.
func (r *Row) Errors() []casebook.Problem {
	if r.wrong == nil {
		return nil
	}
	return *r.wrong
}

// Add adds what is wrong with it.
func (r *Row) Add(ps ...casebook.Problem) { r.set(append(r.Errors(), ps...)) }

func (r *Row) set(ps []casebook.Problem) {
	if r.wrong != nil || len(ps) > 0 {
		r.wrong = &ps
	}
}

// At is the row of a number, of which nothing was read yet; first is how many movements the
// file gave before it.
func At(t *layout.Table, number, first int) Row {
	return Row{Table: t, Said: &nothingSaid, Number: int32(number), First: int32(first)}
}

// nothingSaid is what a row says that is not read.
var nothingSaid Said

// Source is where it stands.
func (r *Row) Source() casebook.Source {
	return casebook.Source{Sheet: r.Table.Sheet.Name, Row: int(r.Number)}
}
