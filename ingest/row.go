package ingest

import (
	"errors"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/memo"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// row is one row of a table while it is read: what it gave and what is wrong
// with it. A row with an error gives no record.
type row struct {
	t        *layout.Table
	original casebook.Original
	wrong    *[]casebook.Problem // nil for most rows
	*said
	number int32
	// Its movements are those of the batch from number first on, so many.
	first, moves int32
}

// said is what a row gave besides its movements; rows that say the same may share it.
type said struct {
	caseOf  *casebook.Case
	courses []casebook.Course
	repeat  *casebook.Repeat
}

// errors are what is wrong with the row.
func (r *row) errors() []casebook.Problem {
	if r.wrong == nil {
		return nil
	}
	return *r.wrong
}

func (r *row) add(ps ...casebook.Problem) { r.set(append(r.errors(), ps...)) }

func (r *row) set(ps []casebook.Problem) {
	if r.wrong != nil || len(ps) > 0 {
		r.wrong = &ps
	}
}

// nothingSaid is what a row says that is not read.
var nothingSaid said

func (r *row) source() casebook.Source {
	return casebook.Source{Sheet: r.t.Sheet.Name, Row: int(r.number)}
}

// movementsOf are the movements that a row gave, as long as no other row was settled.
func (r *reader) movementsOf(x *row) []casebook.Record[casebook.Movement] {
	return r.batch.Movements[x.first : x.first+x.moves]
}

// rowReader reads the cells of one row after the other.
type rowReader struct {
	*reader
	t     *layout.Table
	plan  decide.Plan
	cells sheet.Row
	pair  *layout.Pair // the movement of a wide sheet being read, else nil
	// unitOfAxis is the unit of the axis of the row, once that is read.
	unitOfAxis casebook.Unit
	teethOfRow []casebook.Tooth
	oneTooth   [1]casebook.Tooth
	oneText    [1]string
	movement   casebook.Movement // being read
	field      columns.Field     // read last
	row        *row
	unread     []string // references of cells of the row that did not parse without costing it
	notes      *notes
	took       []bool // columns of which this row gave a value
	looked     []bool // columns of which a cell of this row was asked for
	amounted   []int  // columns of amounts
	block      decide.Block
	told       told
	originals  originals
	missing    *memo.Numbered[bool]
}

// at finds the cell of a field: of the pair, of the table, or a constant.
func (r *rowReader) at(f columns.Field) (sheet.Cell, int) {
	if r.pair != nil {
		if col := r.pair.Cols[f]; col > 0 {
			r.looked[col] = true
			return r.cells.At(col), col
		}
		if layout.OfOneMovement(f) {
			return sheet.Cell{}, 0 // that of another movement is not its own
		}
	}
	if w, ok := r.t.Twins(f); ok {
		col, _ := r.ofTwins(w)
		r.looked[w.Millimetre], r.looked[w.Degree] = true, true
		return r.cells.At(col), col
	}
	if col := r.t.Find(f); col > 0 {
		r.looked[col] = true
		return r.block.Above(f, r.cells.At(col)), col
	}
	if v, ok := r.t.Constants[f]; ok {
		return sheet.Cell{Kind: sheet.String, Text: v}, 0
	}
	return sheet.Cell{}, 0
}

// ofTwins chooses between the columns of an amount kept in two units: the one
// that the row fills, where it fills neither the one of its axis. both reports
// that it fills both.
func (r *rowReader) ofTwins(w layout.Twins) (col int, both bool) {
	mm, deg := r.cells.At(w.Millimetre).Kind != sheet.Blank, r.cells.At(w.Degree).Kind != sheet.Blank
	if deg && !mm || deg == mm && r.unitOfAxis == casebook.Degree {
		return w.Degree, deg && mm
	}
	return w.Millimetre, deg && mm
}

// inBothUnits refuses a row that fills both columns of an amount: which of the
// two is meant is not guessed, not even where one of them is 0.
func (r *rowReader) inBothUnits() bool {
	found := false
	for _, f := range []columns.Field{
		columns.Planned, columns.Achieved, columns.Residual, columns.StartPosition, columns.EndPosition, columns.First, columns.Second,
	} {
		w, ok := r.t.Twins(f)
		if !ok {
			continue
		}
		col, both := r.ofTwins(w)
		if !both {
			continue
		}
		other := w.Millimetre + w.Degree - col
		r.reject(rules.UnitAgainstAxis, other, r.cells.At(other).Kind, "the row fills the column in mm and the one in degrees")
		r.row.errors()[len(r.row.errors())-1].Remedy = "Empty the cell whose unit does not fit the axis, even if it is 0"
		found = true
	}
	return found
}

// problem locates a finding in a cell of the row.
func (r *rowReader) problem(id rules.ID, col int, class sheet.Kind, message string) casebook.Problem {
	p := rules.New(id, "%s", message)
	p.File, p.Sheet, p.Row = r.Book.File.Name, r.t.Sheet.Name, r.cells.Number
	if col > 0 {
		p.Cell, p.Column = sheet.Ref(r.cells.Number, col), r.t.HeaderOf(col)
	}
	p.Class = class.String()
	return p
}

// fail is what an error found in a cell costs: an optional cell itself, else the
// row.
func (r *rowReader) fail(err error, col int, c sheet.Cell) {
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
func (r *rowReader) cost(p casebook.Problem, f columns.Field) {
	if !optional[f] && !columns.IsPlain(f) {
		r.row.add(p)
		return
	}
	r.unread = append(r.unread, p.Cell)
	p.Severity = casebook.Warning
	p.Message += "; the cell was left out and the row kept"
	r.notes.put(p)
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

func (r *rowReader) reject(id rules.ID, col int, class sheet.Kind, message string) {
	r.row.add(r.problem(id, col, class, message))
}

// usable gives the text of a cell that holds a value; error values and
// formulas without a value reject the row, blank cells and missing codes give
// nothing.
func (r *rowReader) usable(f columns.Field) (c sheet.Cell, col int, ok bool) {
	c, col = r.at(f)
	r.field = f
	switch c.Kind {
	case sheet.Blank:
		return c, col, false
	case sheet.ErrorValue:
		r.cost(r.problem(rules.CellError, col, c.Kind, "the cell holds an error value"), f)
		return c, col, false
	case sheet.NoValue:
		r.cost(r.problem(rules.FormulaNoValue, col, c.Kind, "the formula was saved without its value"), f)
		return c, col, false
	}
	if r.isMissing(c, col) || r.Meant(f, c.Text) == decide.NotRecorded {
		return c, col, false
	}
	if r.took != nil {
		r.took[col] = true
	}
	return c, col, true
}

// isMissing reports an explicit missing code.
func (r *rowReader) isMissing(c sheet.Cell, col int) bool {
	at, n := r.t.Sheet.At(r.cells, col)
	if at.Text != c.Text { // it stands in another row, or above the table
		n = 0
	}
	return r.missing.Get(n, c.Text)
}

// need rejects the row where a required field is blank.
func (r *rowReader) need(f columns.Field) (c sheet.Cell, col int, ok bool) {
	before := len(r.row.errors())
	c, col, ok = r.usable(f)
	if !ok && len(r.row.errors()) == before {
		r.reject(rules.ValueMissing, col, c.Kind, "the "+f.String()+" is missing"+r.block.LostAbove(f))
	}
	return c, col, ok
}

// optionalField reads a field with one of the typed parsers, after the words a mapping
// declares; it is missing where the cell is blank, a missing code or refused.
func optionalField[E any](r *rowReader, f columns.Field, parse func(string) (E, error)) casebook.Opt[E] {
	c, col, ok := r.usable(f)
	if !ok {
		return casebook.Opt[E]{}
	}
	v, err := parse(r.Meant(f, c.Text))
	if err != nil {
		r.fail(err, col, c)
		return casebook.Opt[E]{}
	}
	return casebook.Some(v)
}

// word is optionalField for fields whose zero value means "not recorded".
func word[E any](r *rowReader, f columns.Field, parse func(string) (E, error)) E {
	return optionalField(r, f, parse).Value
}

// plain reads the columns of plain words of a record: a pointer to a case, a
// course or a movement.
func (r *rowReader) plain(k casebook.Kind, record any) {
	for _, d := range columns.Plain(k) {
		w := optionalField(r, d.Field, func(s string) (string, error) { return values.ParsePlain(d.Field, s) })
		if err := d.Place(record).UnmarshalText([]byte(w.Value)); err != nil {
			c, col := r.at(d.Field)
			r.fail(values.Fail{Rule: rules.WordUnknown, Message: err.Error()}, col, c)
		}
	}
}

const longestCode = 64

// code reads a pseudonym or code.
func (r *rowReader) code(f columns.Field, required bool) string {
	get := r.usable
	if required {
		get = r.need
	}
	c, col, ok := get(f)
	if !ok {
		return ""
	}
	s, changes := r.codeIn(f, c)
	switch {
	case c.Kind == sheet.Date || c.Kind == sheet.Bool:
		r.reject(rules.CodeUnreadable, col, c.Kind, "the cell is no code")
		return ""
	case c.Kind == sheet.String && decide.IsDitto(c.Text):
		r.reject(rules.CodeUnreadable, col, c.Kind, "the mark stands for the cell above, and no code that was read stands there")
		return ""
	case len(s) > longestCode:
		r.reject(rules.CodeUnreadable, col, c.Kind, "the text is too long for a code")
		return ""
	}
	if len(changes) > 0 && col > 0 {
		r.notes.add(rules.CodeTidied, r.t, col, r.cells.Number)
	}
	r.formulaLike(s, col)
	return s
}

// codeIn is the code in a cell in the form in which codes of the field are compared.
func (r *reader) codeIn(f columns.Field, c sheet.Cell) (string, []values.CodeChange) {
	return r.CodeOf(f, c.Text, c.Kind == sheet.Number)
}

// formulaLike notes texts that a spreadsheet program may take for a formula.
func (r *rowReader) formulaLike(s string, col int) {
	if s != "" && strings.ContainsRune("=+@", rune(s[0])) {
		r.notes.add(rules.FormulaLikeText, r.t, col, r.cells.Number)
	}
}

// month reads a month from a date, a number or a text.
func (r *rowReader) month(f columns.Field) casebook.Month {
	c, col, ok := r.usable(f)
	if !ok {
		return 0
	}
	var m casebook.Month
	var err error
	switch c.Kind {
	case sheet.Date:
		m, err = values.Serial(c.Text, r.Book.Date1904)
	case sheet.Number:
		m, err = values.NumberMonth(c.Text, r.Book.Date1904)
	case sheet.String:
		m, err = values.ParseMonth(c.Text, r.Dates)
		if err == nil && r.Book.Format == sheet.Workbook && strings.Count(c.Text, "-") != 1 {
			r.notes.add(rules.DateAsText, r.t, col, r.cells.Number)
		}
	default:
		err = values.Fail{Rule: rules.DateUnreadable, Message: "the cell is not a month or a date"}
	}
	if err != nil {
		r.fail(err, col, c)
	}
	return m
}

// count reads a whole number; a number stored as text is noted.
func (r *rowReader) count(f columns.Field) casebook.Opt[int] {
	return optionalField(r, f, values.ParseCount)
}
