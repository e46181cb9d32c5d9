// Package decide settles for a whole file what its single cells leave open: the
// decimal mark, dates, notation, signs, courses, styles, words of the practice's own,
// blanks and marks. What the cells do not show is put to the asker of ingest/question.
//
// Place in the pipeline: ingest/layout found the tables; Decide looks over their cells,
// before a row is read, and gives a File, by which ingest reads each row.
package decide

import (
	"cmp"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Plan is how the rows of one table are read.
type Plan struct {
	// Sizes: amounts carry no sign, directions are in words.
	Sizes bool
	// SizeOnly: amounts carry no sign and nothing gives directions.
	SizeOnly bool
	// SizesAlong are the axes along which amounts carry no sign, where others do.
	SizesAlong [casebook.AxisCount + 1]bool
	// PlusAlong are those of them along which amounts without a direction are positive, not
	// without a sign.
	PlusAlong [casebook.AxisCount + 1]bool
	// PlusMeant: amounts without a direction are positive, not without a sign.
	PlusMeant bool
	// AlongPlan: achieved amounts carry no sign and go the way that was planned.
	AlongPlan bool
	// Forgotten says what outcomes that may lack their minus are: "along plan", "against
	// plan" or "reject"; "" where nobody was asked.
	Forgotten string
	// OutcomeSigns says what negative outcomes are beside plans without signs: "against plan",
	// OutcomesSigned or OutcomesRejected; "" where nobody was asked.
	OutcomeSigns string
	// Fraction: stated percentages are written as 0.62.
	Fraction bool
	// Percent says what stated percentages are where nothing was measured:
	// "computed", "achieved", "missing" or "leave"; "" where achieved amounts stand beside them.
	Percent string
	// Unsigned: positions lack their signs, and nothing can be computed from them.
	Unsigned bool
	Planned  string // "movement" or "end position"
	Achieved string // "movement", "residual", "excess" or "end position"
	Course   Numbering
	Style    Styling
	// Composed: the tooth is a number beside its quadrant, or its arch and side.
	Composed bool
	// Blocks are the fields whose blank cells repeat the cell above.
	Blocks []columns.Field
	// Within are those of them that end with the block of their case.
	Within []columns.Field
}

// File is how the rows of a file are read. Most fields are found by Decide.
type File struct {
	Book     *sheet.Book
	Tables   []*layout.Table
	mapping  *mapping.File     // nil: nothing is declared about the file
	declared casebook.Notation // NoNotation: decided over the file
	Asker    *question.Asker
	decimal  values.Decimal
	notation casebook.Notation
	// notations of tables whose headers name different ones, nil elsewhere.
	notations map[*layout.Table]casebook.Notation
	Dates     values.DateOrder
	Missing   map[string]bool
	Plans     map[*layout.Table]Plan
	learnt    map[learntWord]string
	legend    legend
	Zeros     map[string]bool // marks that mean an achieved amount of 0
	Unplanned map[string]bool // marks that mean that no such movement was planned
	// BlankOutcome is what a blank achieved amount means, "" where rows are refused.
	BlankOutcome string
	// BlankStatus is what a blank status of a case without an end means, UnderWay or
	// NotRecorded, "" where rows are refused.
	BlankStatus string
	// Positive is the direction that a table writes as positive.
	Positive map[*layout.Table]map[casebook.Axis]casebook.Direction
	// Upward is mapping.Up or Down where positive vertical amounts of a table go that way in both
	// jaws: another direction in each.
	Upward    map[*layout.Table]string
	Jaws      values.Jaws      // what the letters U, O and B of a jaw mean
	Quadrants values.Quadrants // what codes of quadrants mean that languages write differently
	// View is from where directions of a clock and right and left are told, and
	// sideways the movement along which teeth go right or left where no column says it.
	View     values.View
	Sideways casebook.Axis
	// bothWays are the directions of positive amounts in columns that are named after one
	// direction and hold amounts of both signs.
	bothWays map[*layout.Table]map[casebook.Axis]casebook.Direction
	beside   map[string]bool // words beside amounts that were declared or answered
	// codes of cases and clinicians that are another spelling of one that stands.
	codes map[columns.Field]map[string]string
	// SeveralTeeth: an amount beside several teeth holds for each of them.
	SeveralTeeth bool
	// held are the rows with records of each table; steady: no cell changes any more.
	held   map[*layout.Table]*held
	steady bool
}

// New is a file of which nothing is decided yet.
func New(book *sheet.Book, tables []*layout.Table, m *mapping.File, declared casebook.Notation, asker *question.Asker) *File {
	return &File{
		Book: book, Tables: tables, mapping: m, declared: declared, Asker: asker,
		Missing: map[string]bool{}, Plans: map[*layout.Table]Plan{}, learnt: map[learntWord]string{}, Zeros: map[string]bool{}, Unplanned: map[string]bool{},
		Positive: map[*layout.Table]map[casebook.Axis]casebook.Direction{}, Upward: map[*layout.Table]string{},
		bothWays: map[*layout.Table]map[casebook.Axis]casebook.Direction{}, beside: map[string]bool{},
	}
}

// Decide settles for the whole file what single cells leave open.
func (r *File) Decide() []casebook.Problem {
	var out []casebook.Problem
	m := r.mapping
	if m == nil {
		m = &mapping.File{}
	}
	for _, c := range m.Missing.Codes {
		r.Missing[strings.ToLower(strings.TrimSpace(c))] = true
	}
	switch m.File.Dates {
	case "day first":
		r.Dates = values.DayFirst
	case "month first":
		r.Dates = values.MonthFirst
	}
	r.repeatDittos(&out)
	r.takeSigns(&out)
	r.decideToothDates()
	r.settleCells()
	r.decideDecimal(m.File.Decimal)
	r.readLegend()
	for _, t := range r.Tables {
		p := Plan{Planned: m.File.Planned, Achieved: m.File.Achieved}
		p.Composed = composed(t)
		r.outcome(t, &p, &out)
		r.saysScales(t, &out)
		p.Fraction = r.fraction(t, m.File.Percent, &out)
		r.Plans[t] = p
	}
	r.decideCodes()
	r.decideBlocks(&out)
	r.decideNotation(m, &out)
	r.decideWords(&out)
	r.decideView(&out)
	r.decideCourses(&out)
	r.decideBothWays()
	r.decideBeside()
	r.decideSigns(m, &out)
	r.decideDirections()
	r.decideOutcomeSigns()
	r.decideTeeth()
	r.decideStyles(m, &out)
	r.decideUnplanned()
	r.decideMissing(&out)
	r.decideUnderWay()
	r.decideStatusWords()
	r.decideDates(&out)
	for i := range out {
		out[i].File = r.Book.File.Name
	}
	return out
}

// saysScales says where a header names another unit than mm or degrees.
func (r *File) saysScales(t *layout.Table, out *[]casebook.Problem) {
	for _, c := range t.Columns {
		if c.Scale.Is1() || c.Scale.Num == 0 || c.Field == columns.NoField {
			continue
		}
		p := inSheet(t, rules.New(rules.LayoutAssumed, "the header names another unit; amounts were multiplied by %d/%d", c.Scale.Num, c.Scale.Den))
		p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
		*out = append(*out, p)
	}
}

// eachCell calls f with every cell of a column below the header; the example
// row of the template is no evidence.
func eachCell(t *layout.Table, col int, f func(row int, c sheet.Cell)) {
	for row := range filled(t, col) {
		f(row.Number, row.At(col))
	}
}

// amountColumns lists the columns of a table that hold amounts.
func amountColumns(t *layout.Table) []int {
	var out []int
	for _, c := range t.Columns {
		if d, ok := columns.Find(t.Kind, c.Field); ok && (d.Type == columns.Amount || d.Type == columns.Percent) {
			out = append(out, c.Col)
		}
	}
	return out
}

func (r *File) decideDecimal(declared string) {
	if declared != "" {
		r.decimal = values.Decimal(declared[0])
		return
	}
	var e values.Evidence
	for _, t := range r.Tables {
		for _, col := range amountColumns(t) {
			eachCell(t, col, func(_ int, c sheet.Cell) {
				if c.Kind == sheet.String {
					e.Note(c.Text)
				}
			})
		}
	}
	r.decimal = e.Decimal()
}

// outcome settles what stands for the achieved movement where nothing is
// declared. A residual and a position can be meant in two ways, so only the
// plain name "residual" is taken at its word.
func (r *File) outcome(t *layout.Table, p *Plan, out *[]casebook.Problem) {
	if t.Kind != casebook.MovementKind {
		return
	}
	if p.Planned == "" {
		p.Planned = t.PlannedAs
	}
	if p.Achieved == "" {
		p.Achieved = t.AchievedAs
	}
	has := func(f columns.Field) (int, bool) {
		if len(t.Pairs) > 0 && t.Pairs[0].Cols[f] > 0 {
			return t.Pairs[0].Cols[f], true
		}
		return t.Find(f), t.Has(f)
	}
	if col, ok := has(columns.Achieved); ok || p.Achieved != "" {
		if ok && p.Achieved == "" && r.noted(t, col) {
			p.Achieved = r.askNoted(t, col)
		}
		return
	}
	if col, ok := has(columns.Residual); ok {
		p.Achieved = "residual"
		if c, _ := t.ColumnAt(col); !c.Canonical && !c.Declared && !c.Shared {
			p.Achieved = r.askResidual(t, col)
		}
		return
	}
	if col, ok := has(columns.EndPosition); ok {
		p.Achieved = "end position"
		if p.Planned == "" {
			q := inSheet(t, rules.New(rules.ColumnAmbiguous, "with end positions, the planned column may hold movements or positions"))
			q.Cell, q.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
			q.Remedy = "Declare achieved = \"end position\", and planned = \"movement\" or \"end position\", in a mapping file"
			*out = append(*out, q)
		}
		return
	}
	if col, ok := has(columns.StatedPercent); ok {
		p.Percent = r.askPercent(t, col, out)
	}
}

// ofColumn is a question about what a column says, asked at its header.
func ofColumn(id string, rule rules.ID, t *layout.Table, col int) question.Question {
	return question.Question{ID: id, Rule: string(rule), Sheet: t.Sheet.Name, Cell: sheet.Ref(t.Header, col), Column: t.HeaderOf(col)}
}

// What a column beside the planned amounts may hold.
var (
	wasLeft    = question.Choice{Word: "residual", Text: "planned minus achieved: what was left to do"}
	wentBeyond = question.Choice{Word: "excess", Text: "achieved minus planned"}
)

func (r *File) askResidual(t *layout.Table, col int) string {
	q := ofColumn("residual", rules.ColumnAmbiguous, t, col)
	q.Text = "is the column what was left of the plan, what went beyond it, or the achieved movement itself?"
	q.Choices = []question.Choice{wasLeft, wentBeyond, {Word: "achieved", Text: "the achieved movement itself: position after minus position before"}}
	q.Proposed = wasLeft.Word
	return cmp.Or(r.Asker.Ask(q), q.Proposed)
}

func (r *File) askPercent(t *layout.Table, col int, out *[]casebook.Problem) string {
	q := ofColumn("percent", rules.PercentOnly, t, col)
	q.Text = "the sheet states percentages and no achieved amounts: what are they percentages of?"
	q.Choices = []question.Choice{
		{Word: "computed", Text: "achieved divided by planned (100: as planned, more: beyond it); the achieved amounts are computed from it"},
		{Word: "achieved", Text: "a share or score that is not to be computed with; kept as stated, apart from measured amounts"},
		{Word: "missing", Text: "the share of the planned amount that was still missing; kept as 100 less that"},
		{Word: "leave", Text: "something else; they are not read"},
	}
	word := r.Asker.Ask(q)
	if word != "" {
		p := inSheet(t, rules.New(rules.PercentOnly, "the sheet states percentages and no achieved amounts; %s", percentRead[word]))
		p.Cell, p.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
		*out = append(*out, p)
	}
	return word
}

// percentRead says what became of stated percentages.
var percentRead = map[string]string{
	"computed": "these were computed from the plan, no more exact than the percentages are",
	"achieved": "its movements count as not measured, and the percentages have a table of their own",
	"missing":  "its movements count as not measured, and the percentages have a table of their own",
	"leave":    "its movements count as not measured",
}

// fraction settles whether stated percentages are written as 0.62: declared, or
// where every one of at least three is at most 2 in size.
func (r *File) fraction(t *layout.Table, declared string, out *[]casebook.Problem) bool {
	col := t.Find(columns.StatedPercent)
	if declared != "" || col == 0 {
		return declared == "fraction"
	}
	n, small := 0, true
	eachCell(t, col, func(_ int, c sheet.Cell) {
		a, err := values.ParseAmount(c.Text, r.decimal)
		if c.Kind == sheet.Number {
			a, err = values.StoredNumber(c.Text)
		}
		if err != nil {
			return
		}
		n++
		small = small && !c.Percent && !a.Percent && a.Value <= 2 && a.Value >= -2
	})
	if n < 3 || !small {
		return false
	}
	p := inSheet(t, rules.New(rules.LayoutAssumed, "the stated percentages are all small and were read as fractions"))
	p.Cell, p.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
	*out = append(*out, p)
	return true
}

func inSheet(t *layout.Table, p casebook.Problem) casebook.Problem {
	p.Sheet = t.Sheet.Name
	return p
}
