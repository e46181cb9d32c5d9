package row

import (
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

// at finds the cell of a field: of the pair, of the table, or a constant; r.same is then the
// number of its text, 0 where none is known.
func (r *Reader) at(f columns.Field) (c sheet.Cell, col int) {
	r.same = 0
	if r.pair != nil {
		if col := r.pair.Cols[f]; col > 0 {
			r.looked[col] = true
			c, r.same = r.t.Sheet.At(r.cells, col)
			return c, col
		}
		if layout.OfOneMovement(f) {
			return sheet.Cell{}, 0 // that of another movement is not its own
		}
	}
	s := &r.sources[f]
	switch {
	case s.twins != nil:
		col, _ := r.ofTwins(*s.twins)
		r.looked[s.twins.Millimetre], r.looked[s.twins.Degree] = true, true
		c, r.same = r.t.Sheet.At(r.cells, col)
		return c, col
	case s.col > 0:
		r.looked[s.col] = true
		if c, r.same = r.t.Sheet.At(r.cells, s.col); c.Kind == sheet.Blank {
			c, r.same = r.block.Above(f, c), 0 // of another row
		}
		return c, s.col
	}
	return s.fixed, 0
}

// source is where the rows of a table have a field from.
type source struct {
	twins *layout.Twins
	col   int
	fixed sheet.Cell // of a label above the table, or a constant
}

// sourcesOf looks it up once for all rows: most fields are in no column.
func sourcesOf(t *layout.Table) (out [columns.FieldCount]source) {
	for i := range out {
		f, s := columns.Field(i), &out[i]
		if w, ok := t.Twins(f); ok {
			s.twins = &w
		}
		s.col = t.Find(f)
		if l, ok := t.Labels[f]; ok {
			s.fixed = l.Cell
		} else if v, ok := t.Constants[f]; ok {
			s.fixed = sheet.Cell{Kind: sheet.String, Text: v}
		}
	}
	return out
}

// ofTwins chooses between the columns of an amount kept in two units: the one
// that the row fills, where it fills neither the one of its axis. both reports
// that it fills both.
func (r *Reader) ofTwins(w layout.Twins) (col int, both bool) {
	mm, deg := r.cells.At(w.Millimetre).Kind != sheet.Blank, r.cells.At(w.Degree).Kind != sheet.Blank
	if deg && !mm || deg == mm && r.unitOfAxis == casebook.Degree {
		return w.Degree, deg && mm
	}
	return w.Millimetre, deg && mm
}

// inBothUnits refuses a row that fills both columns of an amount: which of the
// two is meant is not guessed, not even where one of them is 0.
func (r *Reader) inBothUnits() bool {
	found := false
	for _, f := range amountFields {
		w := r.sources[f].twins
		if w == nil {
			continue
		}
		col, both := r.ofTwins(*w)
		if !both {
			continue
		}
		other := w.Millimetre + w.Degree - col
		r.reject(rules.UnitAgainstAxis, other, r.cells.At(other).Kind, "the row fills the column in mm and the one in degrees")
		r.row.Errors()[len(r.row.Errors())-1].Remedy = "Empty the cell whose unit does not fit the axis, even if it is 0"
		found = true
	}
	return found
}

// amountFields may have two columns, one a unit.
var amountFields = [...]columns.Field{
	columns.Planned, columns.Achieved, columns.Residual, columns.StartPosition, columns.EndPosition, columns.First, columns.Second,
}

// usable gives the text of a cell that holds a value; error values and
// formulas without a value reject the row, blank cells and missing codes give
// nothing.
func (r *Reader) usable(f columns.Field) (c sheet.Cell, col int, ok bool) {
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
	if r.silent(f, c, r.same) {
		return c, col, false
	}
	if r.took != nil {
		r.took[col] = true
	}
	return c, col, true
}

// silent reports an explicit missing code, or words for "not recorded", in a cell whose text
// has a number, or 0.
func (r *Reader) silent(f columns.Field, c sheet.Cell, number uint32) bool {
	m := r.silence[f]
	if m == nil {
		m = memo.ByNumber(func(text string) bool {
			return values.IsMissing(text, r.Missing) || decide.IsNotRecorded(r.Meant(f, text))
		})
		r.silence[f] = m
	}
	return m.Get(number, c.Text)
}

// need rejects the row where a required field is blank.
func (r *Reader) need(f columns.Field) (c sheet.Cell, col int, ok bool) {
	before := len(r.row.Errors())
	c, col, ok = r.usable(f)
	if !ok && len(r.row.Errors()) == before {
		r.reject(rules.ValueMissing, col, c.Kind, "the "+f.String()+" is missing"+r.block.LostAbove(f))
	}
	return c, col, ok
}

// optionalField reads a field with one of the typed parsers, after the words a mapping
// declares; it is missing where the cell is blank, a missing code or refused.
func optionalField[E any](r *Reader, f columns.Field, parse func(string) (E, error)) casebook.Opt[E] {
	c, col, ok := r.usable(f)
	if !ok {
		return casebook.Opt[E]{}
	}
	v := reading(r, f, parse).Get(r.same, c.Text)
	if v.err != nil {
		r.fail(v.err, col, c)
		return casebook.Opt[E]{}
	}
	return casebook.Some(v.value)
}

// parsed is what a parser gave for a text.
type parsed[E any] struct {
	value E
	err   error
}

// reading is what the one parser of a field gave for the texts of the sheet.
func reading[E any](r *Reader, f columns.Field, parse func(string) (E, error)) *memo.Numbered[parsed[E]] {
	m, ok := r.parsed[f].(*memo.Numbered[parsed[E]])
	if !ok {
		m = memo.ByNumber(func(text string) parsed[E] {
			v, err := parse(r.Meant(f, text))
			return parsed[E]{v, err}
		})
		r.parsed[f] = m
	}
	return m
}

// word is optionalField for fields whose zero value means "not recorded".
func word[E any](r *Reader, f columns.Field, parse func(string) (E, error)) E {
	return optionalField(r, f, parse).Value
}

// plain reads the columns of plain words of a record: a pointer to a case, a
// course or a movement.
func (r *Reader) plain(k casebook.Kind, record any) {
	for _, d := range columns.Plain(k) {
		if r.pair == nil && r.sources[d.Field] == (source{}) {
			r.field = d.Field
			continue // nothing says it, as the record does already
		}
		w := optionalField(r, d.Field, parsePlain[d.Field])
		if err := d.Place(record).UnmarshalText([]byte(w.Value)); err != nil {
			c, col := r.at(d.Field)
			r.fail(values.Fail{Rule: rules.WordUnknown, Message: err.Error()}, col, c)
		}
	}
}

// parsePlain reads the words of each field of plain words.
var parsePlain = func() (out [columns.FieldCount]func(string) (string, error)) {
	for i := range out {
		out[i] = func(s string) (string, error) { return values.ParsePlain(columns.Field(i), s) }
	}
	return out
}()

const longestCode = 64

// code reads a pseudonym or code.
func (r *Reader) code(f columns.Field, required bool) string {
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
		r.notes.Add(rules.CodeTidied, r.t, col, r.cells.Number)
	}
	r.formulaLike(s, col)
	return s
}

// codeIn is the code in a cell in the form in which codes of the field are compared.
func (r *File) codeIn(f columns.Field, c sheet.Cell) (string, []values.CodeChange) {
	return r.CodeOf(f, c.Text, c.Kind == sheet.Number)
}

// formulaLike notes texts that a spreadsheet program may take for a formula.
func (r *Reader) formulaLike(s string, col int) {
	if s != "" && strings.ContainsRune("=+@", rune(s[0])) {
		r.notes.Add(rules.FormulaLikeText, r.t, col, r.cells.Number)
	}
}

// month reads a month from a date, a number or a text.
func (r *Reader) month(f columns.Field) casebook.Month {
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
			r.notes.Add(rules.DateAsText, r.t, col, r.cells.Number)
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
func (r *Reader) count(f columns.Field) casebook.Opt[int] {
	return optionalField(r, f, values.ParseCount)
}
