package ingest

import (
	"context"
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

// readTables reads the case log first, since the status of a case decides what
// a blank outcome means, then courses, movements and repeats; the counts stay
// in the order of the sheets.
func (r *reader) readTables(ctx context.Context) error {
	for _, t := range r.Tables {
		r.all += len(t.Sheet.Rows)
	}
	r.homes = r.findHomes()
	counts := map[string]casebook.SheetCounts{}
	settled := newSettled(r)
	for _, k := range casebook.Kinds() {
		if err := r.readKind(ctx, k, settled, counts); err != nil {
			return err
		}
	}
	settled.emitCases()
	r.settleOwn()
	r.settleSaid()
	for _, s := range r.Book.Sheets {
		if c, ok := counts[s.Name]; ok {
			r.batch.Sheets = append(r.batch.Sheets, c)
		} else if slices.Contains(r.skipped, s.Name) {
			r.batch.Sheets = append(r.batch.Sheets, casebook.SheetCounts{Sheet: s.Name})
		}
	}
	return nil
}

// readKind reads all tables of a kind before any row of them is accepted, since
// a key given twice may stand on two sheets.
func (r *reader) readKind(ctx context.Context, k casebook.Kind, s *settled, counts map[string]casebook.SheetCounts) error {
	var rows []*row
	for _, t := range r.Tables {
		if t.Kind != k {
			continue
		}
		got, c, err := r.readTable(ctx, t)
		if err != nil {
			return err
		}
		if counts[t.Sheet.Name] = c; rows == nil {
			rows = got
			continue
		}
		rows = append(rows, got...)
	}
	if k == casebook.MovementKind {
		r.twice(rows)
		r.doubts(rows)
	}
	s.settle(rows, counts)
	return nil
}

// hopeless is how many rows are refused one after the other, with their reasons,
// before a sheet is: it is another sheet than it was taken for.
const hopeless = 5000

// readTable reads every row below the header. The rows of the sheet are given
// up as they are read, which halves the memory of a large file.
func (r *reader) readTable(ctx context.Context, t *layout.Table) ([]*row, casebook.SheetCounts, error) {
	c := casebook.SheetCounts{Sheet: t.Sheet.Name, Kind: t.Kind}
	if t.Flat || t.Kind == casebook.MovementKind && statesCourse(t) {
		c.Kind = casebook.NoKind
	}
	c.Read = max(t.Last-t.Body+1, 0)
	c.Blank = c.Read
	n := newNotes()
	r.fillMerged(t, n)
	b := decide.NewBody(t)
	rr := r.newRowReader(t, n)
	out := make([]*row, 0, len(t.Sheet.Rows))
	var slab []row
	refused := 0
	for i := range t.Sheet.Rows {
		cells := t.Sheet.Rows[i]
		t.Sheet.Rows[i].Clear()
		if err := r.goOn(ctx); err != nil {
			return nil, c, err
		}
		if cells.Number < t.Body || cells.Len() == 0 {
			continue
		}
		if !cells.Broken && !b.Holds(cells) {
			rr.pass(cells, b)
			n.add(rules.RowUnused, t, 0, cells.Number)
			continue
		}
		c.Blank--
		if len(slab) == cap(slab) {
			slab = make([]row, 0, rowsAtOnce)
		}
		slab = append(slab, row{t: t, said: &nothingSaid, number: int32(cells.Number), first: int32(len(r.batch.Movements))})
		rr.begin(cells, &slab[len(slab)-1])
		rr.take(cells, b)
		if rr.unplanned(rr.row) {
			n.add(rules.RowUnplanned, t, 0, cells.Number)
			c.Blank++
			continue
		}
		rr.finish()
		out = append(out, rr.row)
		if len(rr.row.errors()) > 0 {
			refused++
		}
		if len(out) == hopeless && refused == hopeless {
			return nil, c, anotherSheet(t, rr.row)
		}
	}
	t.Sheet.Rows = nil
	r.batch.Problems = append(r.batch.Problems, n.problems(r.Book.File.Name)...)
	return out, c, nil
}

// take reads a row, or says why it is not read.
func (r *rowReader) take(cells sheet.Row, b *decide.Body) {
	if col, void := b.Void(cells); void {
		r.pass(cells, b)
		r.reject(rules.RowVoid, col, sheet.String, "a remark takes the row back")
		return
	}
	if cells.Broken {
		r.pass(cells, b)
		r.reject(rules.TextQuotes, 0, sheet.String, "a quotation mark stands inside a cell that is not quoted, so the cells of the row cannot be told apart")
		return
	}
	r.block.Carry(cells)
	r.read()
	r.amountsUnread()
}

// goOn counts a row, and now and then says how far reading is and looks whether it is
// still wanted.
func (r *reader) goOn(ctx context.Context) error {
	if r.done++; r.done%1024 != 0 {
		return nil
	}
	if r.o.Progress != nil {
		r.o.Progress(r.done, r.all)
	}
	return ctx.Err()
}

// anotherSheet is the problem of a sheet of which no row could be read up to the last.
func anotherSheet(t *layout.Table, last *row) casebook.Problem {
	p := rules.New(rules.FileStopped, "none of the first %d rows could be read, the last of them since %s", hopeless, last.errors()[0].Message)
	p.Sheet, p.Row = t.Sheet.Name, int(last.number)
	p.Remedy = "The sheet is not read as it is meant: say how with a mapping file (shortfall map FILE)"
	return p
}

// rowsAtOnce are allocated at a time.
const rowsAtOnce = 1024

func (r *reader) newRowReader(t *layout.Table, n *notes) *rowReader {
	if t.Kind == casebook.MovementKind && len(t.Pairs) == 0 {
		r.batch.Movements = slices.Grow(r.batch.Movements, len(t.Sheet.Rows))
	}
	rows := &casebook.Rows{}
	return &rowReader{
		reader: r, t: t, plan: r.Plans[t], notes: n, took: make([]bool, t.Sheet.Columns()+1), looked: make([]bool, t.Sheet.Columns()+1),
		block: decide.NewBlock(t, r.Plans[t]), amounted: amountColumns(t),
		told: newTold(t), originals: originals{rows: rows, known: memo.ByNumber(rows.Number)},
		missing: memo.ByNumber(func(text string) bool { return values.IsMissing(text, r.Missing) }),
	}
}

// begin turns to the next row.
func (r *rowReader) begin(cells sheet.Row, x *row) {
	r.cells, r.row, r.pair = cells, x, nil
	r.unitOfAxis, r.teethOfRow, r.field = casebook.NoUnit, nil, columns.NoField
	r.unread = r.unread[:0]
	clear(r.took)
	clear(r.looked)
}

// finish keeps the original cells with the row and its movements.
func (r *rowReader) finish() {
	r.row.original = r.original()
	moves := r.movementsOf(r.row)
	for i := range moves {
		moves[i].Original = r.row.original
	}
}

// read reads the records that the kind of table holds.
func (r *rowReader) read() {
	again := r.listen()
	if !again {
		r.row.said = &said{}
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
		if (r.t.Flat || statesCourse(r.t)) && !again {
			r.remarking(r.readCourses)
		}
		if len(r.row.errors()) > 1 {
			r.row.set(once(r.row.errors()))
		}
		r.remember()
		if r.row.moves == 0 && len(r.row.errors()) == 0 && len(r.t.Pairs) == 0 {
			r.reject(rules.ValueMissing, 0, sheet.Blank, "the row holds no movement")
		}
	}
}

// unplanned reports a row of a wide sheet in which every movement is blank: none was
// planned for the tooth, and the row says nothing else.
func (r *rowReader) unplanned(x *row) bool {
	return r.t.Kind == casebook.MovementKind && len(r.t.Pairs) > 0 && x.moves == 0 && len(x.errors()) == 0 &&
		x.caseOf == nil && len(x.courses) == 0
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
func (r *rowReader) know() {
	c := r.row.caseOf
	if c == nil || c.ID == "" {
		return
	}
	known := r.cases[c.Key()]
	if known == nil {
		r.cases[c.Key()] = &caseInfo{value: *c, source: r.row.source()}
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

// fillMerged gives the value of a merged area to the cells below its first.
func (r *reader) fillMerged(t *layout.Table, n *notes) {
	if len(t.Sheet.Merged) == 0 {
		return
	}
	at := map[int]int{}
	for i, row := range t.Sheet.Rows {
		at[row.Number] = i
	}
	for _, a := range t.Sheet.Merged {
		first, ok := at[a.Row1]
		if a.Row1 < t.Body || !ok {
			continue
		}
		c := t.Sheet.Rows[first].At(a.Col1)
		n.add(rules.CellMerged, t, a.Col1, a.Row1)
		for row := a.Row1 + 1; row <= min(a.Row2, t.Last) && c.Kind != sheet.Blank; row++ {
			i, ok := at[row]
			if !ok {
				continue // the row holds nothing else
			}
			if under := &t.Sheet.Rows[i]; under.At(a.Col1).Kind == sheet.Blank {
				under.Put(c)
			}
		}
	}
}
