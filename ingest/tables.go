package ingest

import (
	"context"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/row"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// readTables reads the case log first, since the status of a case decides what
// a blank outcome means, then courses, movements and repeats; the counts stay
// in the order of the sheets.
func (r *reader) readTables(ctx context.Context) error {
	for _, t := range r.Tables {
		r.all += len(t.Sheet.Rows)
	}
	r.FindHomes()
	counts := map[string]casebook.SheetCounts{}
	settled := newSettled(r)
	for _, k := range casebook.Kinds() {
		if err := r.readKind(ctx, k, settled, counts); err != nil {
			return err
		}
	}
	settled.emitCases()
	r.SettleOwn()
	r.SettleSaid()
	for _, s := range r.Book.Sheets {
		if c, ok := counts[s.Name]; ok {
			r.Batch.Sheets = append(r.Batch.Sheets, c)
		} else if slices.Contains(r.skipped, s.Name) {
			r.Batch.Sheets = append(r.Batch.Sheets, casebook.SheetCounts{Sheet: s.Name})
		}
	}
	return nil
}

// readKind reads all tables of a kind before any row of them is accepted, since
// a key given twice may stand on two sheets.
func (r *reader) readKind(ctx context.Context, k casebook.Kind, s *settled, counts map[string]casebook.SheetCounts) error {
	var rows []*row.Row
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
func (r *reader) readTable(ctx context.Context, t *layout.Table) ([]*row.Row, casebook.SheetCounts, error) {
	c := casebook.SheetCounts{Sheet: t.Sheet.Name, Kind: t.Kind}
	if t.Flat || t.Kind == casebook.MovementKind && row.StatesCourse(t) {
		c.Kind = casebook.NoKind
	}
	c.Read = max(t.Last-t.Body+1, 0)
	c.Blank = c.Read
	n := row.NewNotes()
	r.fillMerged(t, n)
	b := decide.NewBody(t)
	rr := r.NewReader(t, n)
	out := make([]*row.Row, 0, len(t.Sheet.Rows))
	var slab []row.Row
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
			rr.Pass(cells, b)
			n.Add(rules.RowUnused, t, 0, cells.Number)
			continue
		}
		c.Blank--
		if len(slab) == cap(slab) {
			slab = make([]row.Row, 0, rowsAtOnce)
		}
		slab = append(slab, row.At(t, cells.Number, len(r.Batch.Movements)))
		x := &slab[len(slab)-1]
		if !rr.Read(cells, x, b) {
			n.Add(rules.RowUnplanned, t, 0, cells.Number)
			c.Blank++
			continue
		}
		out = append(out, x)
		if len(x.Errors()) > 0 {
			refused++
		}
		if len(out) == hopeless && refused == hopeless {
			return nil, c, anotherSheet(t, x)
		}
	}
	t.Sheet.Rows = nil
	r.Batch.Problems = append(r.Batch.Problems, n.Problems(r.Book.File.Name)...)
	return out, c, nil
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
func anotherSheet(t *layout.Table, last *row.Row) casebook.Problem {
	p := rules.New(rules.FileStopped, "none of the first %d rows could be read, the last of them since %s", hopeless, last.Errors()[0].Message)
	p.Sheet, p.Row = t.Sheet.Name, int(last.Number)
	p.Remedy = "The sheet is not read as it is meant: say how with a mapping file (shortfall map FILE)"
	return p
}

// rowsAtOnce are allocated at a time.
const rowsAtOnce = 1024

// fillMerged gives the value of a merged area to the cells below its first.
func (r *reader) fillMerged(t *layout.Table, n *row.Notes) {
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
		n.Add(rules.CellMerged, t, a.Col1, a.Row1)
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
