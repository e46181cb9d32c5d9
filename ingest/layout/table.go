package layout

import (
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/memo"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Table is one table of records on a sheet.
type Table struct {
	Sheet   *sheet.Sheet
	Kind    casebook.Kind
	Header  int // first row of the header
	Body    int // first row below the header
	Last    int // last row that holds anything
	Columns []Column
	// Constants hold for every row: values from labels above the header, from the
	// sheet name, or declared.
	Constants map[columns.Field]string
	// Labels are the constants that a label above the header gives, where they stand.
	Labels map[columns.Field]Label
	// Pairs are the movements of a wide sheet, in column order; nil for a long one.
	Pairs []Pair
	// Flat is true where a movement table repeats the columns of its case.
	Flat bool
	// PlannedAs and AchievedAs say what the columns of amounts hold, in the words
	// of a mapping file, "" where their headers leave no doubt.
	PlannedAs, AchievedAs string
	// Marks are the columns that say yes or no to one style each.
	Marks map[int]casebook.Style
	// NoneCol is a column that says yes where there was no attachment; 0 for none.
	NoneCol int
	// Unstated says how the cases of a list without a column of the status stand: Ended,
	// "completed", or "not recorded"; "" where there is one or nothing was answered.
	Unstated string
	// CourseOpen is true where nothing says to which course the rows belong.
	CourseOpen bool

	declared bool        // by a mapping
	heads    []sheet.Row // the two rows of a header of two
	titles   []string    // loose texts above the header
	// highShares is true where 99 is no code among the stated shares of the plan.
	highShares bool
	// undecided are the columns that an open question is about.
	undecided []int
	// waiting are the columns of plans of whose outcome a question is open.
	waiting []int

	at [columns.FieldCount]int // column of each field, 0 where there is none
	// twins are the columns of an amount that the sheet keeps twice, once in
	// millimetres and once in degrees.
	twins map[columns.Field]Twins
}

// Twins are two columns of one amount: each row fills the one of its unit.
type Twins struct{ Millimetre, Degree int }

// Twins gives the two columns of an amount kept in two units.
func (t *Table) Twins(f columns.Field) (Twins, bool) {
	w, ok := t.twins[f]
	return w, ok
}

// Column is one column of a table. An unread one has no field.
type Column struct {
	Header
	Col      int
	Text     string // header as written, of two header rows joined
	Declared bool   // by the mapping
	Shared   bool   // belongs to one or more pairs of a wide sheet
}

// Pair is one movement that each row of a wide sheet may hold.
type Pair struct {
	Tooth     string
	Axis      casebook.Axis
	Direction casebook.Direction
	Course    int
	Cols      map[columns.Field]int // column numbers
}

// Find gives the column of a field, 0 where the table has none.
func (t *Table) Find(f columns.Field) int {
	return t.at[f]
}

// index notes the column of each field; it is due whenever the columns change.
func (t *Table) index() {
	t.at = [columns.FieldCount]int{}
	for _, c := range t.Columns {
		if c.Field != columns.NoField && !c.Shared && t.at[c.Field] == 0 {
			t.at[c.Field] = c.Col
		}
	}
}

// Has reports a column or a constant for the field.
func (t *Table) Has(f columns.Field) bool {
	_, constant := t.Constants[f]
	return constant || t.Find(f) > 0
}

// StandsForMissing reports a number that people write for "missing". Nobody writes such a
// code before a per cent sign, and in a column of shares with others as high 99 is one of
// them.
func (t *Table) StandsForMissing(a values.Amount, col int) bool {
	share := a.Percent || a.Value == 99 && t.highShares && col == t.Find(columns.StatedPercent)
	return values.IsSentinel(a.Value) && !share
}

// sharesAsHigh reports as many cells of 90 to 110 beside 99 in a column as there are of 99.
func (t *Table) sharesAsHigh(col int) bool {
	near, codes := 0, 0
	amounts := memo.ByNumber(func(text string) float64 {
		a, err := values.ParseAmount(text, 0)
		if err != nil {
			return 0
		}
		return a.Value
	})
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body {
			continue
		}
		c, n := t.Sheet.At(r, col)
		switch v := amounts.Get(n, c.Text); {
		case v == 99:
			codes++
		case v >= 90 && v <= 110:
			near++
		}
	}
	return near >= codes
}

// HeaderOf gives the header text of a column.
func (t *Table) HeaderOf(col int) string {
	if c := t.column(col); c != nil {
		return c.Text
	}
	return ""
}

// ColumnAt gives the column with the number.
func (t *Table) ColumnAt(col int) (Column, bool) {
	if c := t.column(col); c != nil {
		return *c, true
	}
	return Column{}, false
}

// column finds a column, nil where the table has none; it is asked about every cell.
func (t *Table) column(col int) *Column {
	if i := col - 1; i >= 0 && i < len(t.Columns) && t.Columns[i].Col == col {
		return &t.Columns[i] // none to the left of it has no header
	}
	lo, hi := 0, len(t.Columns)
	for lo < hi {
		if mid := (lo + hi) / 2; t.Columns[mid].Col < col {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo < len(t.Columns) && t.Columns[lo].Col == col {
		return &t.Columns[lo]
	}
	return nil
}

// caseFields are the fields of a case other than its key.
var caseFields = fieldsOf(casebook.CaseKind, columns.Case, columns.Practice)

func fieldsOf(k casebook.Kind, without ...columns.Field) map[columns.Field]bool {
	out := map[columns.Field]bool{}
	for _, d := range columns.Of(k) {
		if !slices.Contains(without, d.Field) {
			out[d.Field] = true
		}
	}
	return out
}

// movementOrCase is the kind of record that has the field.
func movementOrCase(f columns.Field) casebook.Kind {
	if IsCaseField(f) {
		return casebook.CaseKind
	}
	return casebook.MovementKind
}

// IsCaseField reports a field of the case log other than the id.
func IsCaseField(f columns.Field) bool { return caseFields[f] || f == columns.Practice }

// Forget leaves a column unread from now on.
func (t *Table) Forget(col int) {
	for i := range t.Columns {
		if t.Columns[i].Col == col {
			t.Columns[i].Header = Header{}
		}
	}
	t.index()
}

// pairUp groups the wide columns of a table by course, tooth and axis.
func (t *Table) pairUp() {
	at := map[Pairing]int{}
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Field == columns.NoField || !c.wide() {
			continue
		}
		c.Shared = true
		if c.Field != columns.Planned {
			continue
		}
		k := Pairing{c.Tooth, c.Axis, c.Direction, c.Course}
		if _, ok := at[k]; !ok {
			at[k] = len(t.Pairs)
			t.Pairs = append(t.Pairs, Pair{Tooth: c.Tooth, Axis: c.Axis, Direction: c.Direction, Course: c.Course, Cols: map[columns.Field]int{}})
		}
	}
	for _, c := range t.Columns {
		if !c.Shared {
			continue
		}
		for i := range t.Pairs {
			if p := &t.Pairs[i]; p.takes(c.Header) && p.Cols[c.Field] == 0 {
				p.Cols[c.Field] = c.Col
			}
		}
	}
	t.index()
}

// orphans lists the wide columns that belong to no pair.
func (t *Table) orphans() []Column {
	var out []Column
	for _, c := range t.Columns {
		taken := func(p Pair) bool { return p.takes(c.Header) }
		if c.Shared && !slices.ContainsFunc(t.Pairs, taken) {
			out = append(out, c)
		}
	}
	return out
}

// Pairing identifies a pair of a wide sheet.
type Pairing struct {
	Tooth     string
	Axis      casebook.Axis
	Direction casebook.Direction
	Course    int
}

// OfOneMovement reports an amount, of which each movement of a wide sheet has its own column.
func OfOneMovement(f columns.Field) bool {
	switch f {
	case columns.Planned, columns.Achieved, columns.Residual, columns.StartPosition, columns.EndPosition, columns.StatedPercent:
		return true
	}
	return false
}

// takes reports whether a wide column belongs to the pair: a column that names
// only the tooth, or only the axis, serves every pair of it.
func (p *Pair) takes(h Header) bool {
	if OfOneMovement(h.Field) {
		return h.Tooth == p.Tooth && h.Axis == p.Axis && h.Direction == p.Direction && h.Course == p.Course
	}
	return (h.Tooth == p.Tooth || h.Tooth == "") && (h.Axis == p.Axis || h.Axis == casebook.NoAxis) &&
		(h.Course == p.Course || h.Course == 0)
}
