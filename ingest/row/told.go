package row

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
)

// told is what the columns of the case and of its course said in the row above: a sheet of
// movements repeats them from row to row, and what stands there again means the same again.
// Only a row that gave nothing to remark is told again.
type told struct {
	columns []int        // that are compared; none where a row holds several movements
	cells   []sheet.Cell // of the row above
	ok      bool
	key     casebook.CaseKey
	course  int
	said    *Said
	took    []int // of the columns, those that gave a value
	remarks int   // that reading them made
	again   bool  // this row says the same
}

// ofMovement are the fields that say nothing about a case or a course.
var ofMovement = func() (out [columns.FieldCount]bool) {
	for _, f := range []columns.Field{
		columns.NoField, columns.Tooth, columns.Axis, columns.Direction, columns.Planned, columns.Achieved, columns.Residual,
		columns.StartPosition, columns.EndPosition, columns.StatedPercent, columns.Unit, columns.Style, columns.Shape,
		columns.Orientation, columns.FeatureSize, columns.Lost, columns.LostMonth, columns.Staging, columns.First, columns.Second,
		columns.Quadrant, columns.Arch, columns.Side, columns.Changed, columns.TargetPosition, columns.MeasuredBy, columns.Confirmed,
	} {
		out[f] = true
	}
	return out
}()

func newTold(t *layout.Table) (out told) {
	if t.Kind != casebook.MovementKind || len(t.Pairs) > 0 {
		return out
	}
	for _, c := range t.Columns {
		if !ofMovement[c.Field] {
			out.columns = append(out.columns, c.Col)
		}
	}
	out.cells = make([]sheet.Cell, len(out.columns))
	return out
}

// listen reports whether the row says of its case and course what the row above did, and
// notes what it says.
func (r *Reader) listen() bool {
	t := &r.told
	t.again = t.ok
	for i, col := range t.columns {
		c := r.cells.At(col)
		t.again = t.again && c == t.cells[i]
		t.cells[i] = c
	}
	if t.again {
		r.row.Said = t.said
		for _, col := range t.took {
			r.took[col] = true
		}
	}
	t.remarks = 0
	return t.again
}

// remember keeps what was read of the case and the course, where nothing was remarked.
func (r *Reader) remember() {
	t := &r.told
	if t.again || len(t.columns) == 0 {
		return
	}
	t.ok = t.remarks == 0 && len(r.row.Errors()) == 0 && len(r.unread) == 0
	t.said = r.row.Said
	t.took = t.took[:0]
	for _, col := range t.columns {
		if r.took[col] {
			t.took = append(t.took, col)
		}
	}
}

// remarking counts the notes that reading the columns of a case makes.
func (r *Reader) remarking(read func()) {
	before := r.notes.made
	read()
	r.told.remarks += r.notes.made - before
}

// caseAndCourse reads which case and which of its courses the row is about.
func (r *Reader) caseAndCourse() (casebook.CaseKey, int) {
	if !r.told.again {
		r.remarking(func() { r.told.key, r.told.course = r.caseKey(), r.courseNumber() })
	}
	return r.told.key, r.told.course
}

// Pass goes over a row that gives nothing: what it holds may stand for the rows below.
func (r *Reader) Pass(row sheet.Row, body *decide.Body) {
	if r.block.Pass(row, body) {
		r.told.ok = false
	}
}
