package row

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// problem locates a finding in a cell of the row.
func (r *Reader) problem(id rules.ID, col int, class sheet.Kind, message string) casebook.Problem {
	p := rules.New(id, "%s", message)
	p.File, p.Sheet, p.Row = r.Book.File.Name, r.t.Sheet.Name, r.cells.Number
	if l, ok := r.t.Labels[r.field]; ok && col == 0 {
		p.Row, p.Cell, p.Column = l.Row, l.Ref(), l.Text
	}
	if col > 0 {
		p.Cell, p.Column = sheet.Ref(r.cells.Number, col), r.t.HeaderOf(col)
	}
	p.Class = class.String()
	return p
}

// fail is what an error found in a cell costs: an optional cell itself, else the
// row.
func (r *Reader) fail(err error, col int, c sheet.Cell) {
	id, message := rules.NumberUnreadable, err.Error()
	if f, ok := errors.AsType[values.Fail](err); ok {
		id, message = f.Rule, f.Message
	}
	p := r.problem(id, col, c.Kind, message)
	h, ok := r.t.ColumnAt(col)
	if col == 0 {
		h.Field = r.field // a label above the table, or the name of the sheet
	}
	if ok && id == rules.WordUnknown {
		if d, ok := columns.Find(r.t.Kind, h.Field); ok {
			p.Remedy = wordRemedy(d)
		} else if d, ok := columns.Find(casebook.CaseKind, h.Field); ok {
			p.Remedy = wordRemedy(d)
		}
	}
	r.cost(p, h.Field)
}

// cost drops the cell with a warning where its field is optional, else rejects
// the row.
func (r *Reader) cost(p casebook.Problem, f columns.Field) {
	if !optional[f] && !columns.IsPlain(f) {
		r.row.Add(p)
		return
	}
	r.unread = append(r.unread, p.Cell)
	p.Severity = casebook.Warning
	if p.Message += "; the cell was left out and the row kept"; p.Row < r.t.Body && slices.Contains(r.notes.own, p) {
		return // of a label above the table, and said of an earlier row
	}
	r.notes.Put(p)
}

// optional are the fields without which a measured row still means the same. A
// unit or a direction that cannot be read is no such field.
var optional = map[columns.Field]bool{
	columns.AgeBand: true, columns.Age: true, columns.StartMonth: true, columns.EndMonth: true, columns.Status: true,
	columns.PlannedAligners: true, columns.ChangeDays: true, columns.Wear: true, columns.Refinements: true,
	columns.CourseStart: true, columns.AlignersPlanned: true, columns.AlignersUsed: true, columns.StatedPercent: true,
	columns.Style: true, columns.Shape: true, columns.Orientation: true, columns.FeatureSize: true, columns.Lost: true,
	columns.LostMonth: true, columns.Staging: true, columns.Changed: true,
}

// wordRemedy lists the words of a field.
func wordRemedy(d columns.Def) string {
	return "Use one of: " + strings.Join(d.Words, ", ") + "; or map the word under [words." + strconv.Quote(d.Field.String()) + "] in a mapping file"
}

func (r *Reader) reject(id rules.ID, col int, class sheet.Kind, message string) {
	r.row.Add(r.problem(id, col, class, message))
}
