package row

import (
	"slices"
	"strconv"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/memo"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Reader reads the cells of one row after the other.
type Reader struct {
	*File
	t     *layout.Table
	plan  decide.Plan
	cells sheet.Row
	pair  *layout.Pair // the movement of a wide sheet being read, else nil
	// unitOfAxis is the unit of the axis of the row, once that is read.
	unitOfAxis casebook.Unit
	teethOfRow []casebook.Tooth
	oneTooth   [1]casebook.Tooth
	movement   casebook.Movement // being read
	field      columns.Field     // read last
	row        *Row
	unread     []string // references of cells of the row that did not parse without costing it
	notes      *Notes
	took       []bool // columns of which this row gave a value
	looked     []bool // columns of which a cell of this row was asked for
	amounted   []int  // columns of amounts
	block      decide.Block
	told       told
	originals  originals
	sources    [columns.FieldCount]source
	same       uint32 // number of the text that at found last
	// silence and parsed remember, for each field, which texts of the sheet say nothing in it
	// and what its parser gave for the others.
	silence [columns.FieldCount]*memo.Numbered[bool]
	parsed  [columns.FieldCount]any
	teethOf *memo.Numbered[[]values.Tooth]
	styles  *memo.Numbered[styleWords]
}

// NewReader reads the rows of a table, and notes what rejects none.
func (r *File) NewReader(t *layout.Table, n *Notes) *Reader {
	if t.Kind == casebook.MovementKind && len(t.Pairs) == 0 {
		r.Batch.Movements = slices.Grow(r.Batch.Movements, len(t.Sheet.Rows))
	}
	rows := &casebook.Rows{}
	return &Reader{
		File: r, t: t, plan: r.Plans[t], notes: n, took: make([]bool, t.Sheet.Columns()+1), looked: make([]bool, t.Sheet.Columns()+1),
		block: decide.NewBlock(t, r.Plans[t]), amounted: amountColumns(t),
		told: newTold(t), originals: originals{rows: rows, known: memo.ByNumber(rows.Number)},
		sources: sourcesOf(t),
	}
}

// Read reads the cells of a row into x; it reports false for a row of a wide sheet in which
// nothing was planned, which is none.
func (r *Reader) Read(cells sheet.Row, x *Row, b *decide.Body) bool {
	r.begin(cells, x)
	r.take(cells, b)
	if r.unplanned(x) {
		return false
	}
	r.finish()
	return true
}

// begin turns to the next row.
func (r *Reader) begin(cells sheet.Row, x *Row) {
	r.cells, r.row, r.pair = cells, x, nil
	r.unitOfAxis, r.teethOfRow, r.field = casebook.NoUnit, nil, columns.NoField
	r.unread = r.unread[:0]
	clear(r.took)
	clear(r.looked)
}

// take reads a row, or says why it is not read.
func (r *Reader) take(cells sheet.Row, b *decide.Body) {
	if col, void := b.Void(cells); void {
		r.Pass(cells, b)
		r.reject(rules.RowVoid, col, sheet.String, "a remark takes the row back")
		return
	}
	if cells.Broken {
		r.Pass(cells, b)
		r.reject(rules.TextQuotes, 0, sheet.String, "a quotation mark stands inside a cell that is not quoted, so the cells of the row cannot be told apart")
		return
	}
	r.block.Carry(cells)
	r.read()
	r.amountsUnread()
}

// finish keeps the original cells with the row and its movements.
func (r *Reader) finish() {
	r.row.Original = r.original()
	moves := r.MovementsOf(r.row)
	for i := range moves {
		moves[i].Original = r.row.Original
	}
}

// read reads the records that the kind of table holds.
func (r *Reader) read() {
	again := r.listen()
	if !again {
		r.row.Said = &Said{}
	}
	switch r.t.Kind {
	case casebook.CaseKind:
		r.readCase()
		r.know()
	case casebook.CourseKind:
		r.readCourse()
	case casebook.RepeatKind:
		r.readRepeat()
	case casebook.MovementKind:
		if r.t.Flat && !again {
			r.remarking(r.readCase)
			r.know()
		}
		r.readMovements()
		if (r.t.Flat || StatesCourse(r.t)) && !again {
			r.remarking(r.readCourses)
		}
		if len(r.row.Errors()) > 1 {
			r.row.set(once(r.row.Errors()))
		}
		r.remember()
		if r.row.Moves == 0 && len(r.row.Errors()) == 0 && len(r.t.Pairs) == 0 {
			r.reject(rules.ValueMissing, 0, sheet.Blank, "the row holds no movement")
		}
	}
}

// unplanned reports a row of a wide sheet in which every movement is blank: none was
// planned for the tooth, and the row says nothing else.
func (r *Reader) unplanned(x *Row) bool {
	return r.t.Kind == casebook.MovementKind && len(r.t.Pairs) > 0 && x.Moves == 0 && len(x.Errors()) == 0 &&
		x.Case == nil && len(x.Courses) == 0
}

// once drops findings made twice: a flat row reads its case and its course for
// each of its records.
func once(ps []casebook.Problem) []casebook.Problem {
	var out []casebook.Problem
	for _, p := range ps {
		if !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

// know adds the case of the row to what the file says about it.
func (r *Reader) know() {
	c := r.row.Case
	if c == nil || c.ID == "" {
		return
	}
	known := r.cases[c.Key()]
	if known == nil {
		r.cases[c.Key()] = &caseInfo{value: *c, source: r.row.Source()}
		return
	}
	if r.t.Kind == casebook.CaseKind {
		return // duplicates on a list of cases are settled with the other keys
	}
	if differ := known.merge(*c); differ != "" {
		_, col := r.at(columns.Case)
		r.reject(rules.CaseConflict, col, sheet.String,
			"the row disagrees with row "+strconv.Itoa(known.source.Row)+" about its case: "+differ)
	}
}
