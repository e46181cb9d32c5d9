package paper

import "shortfall/report/chart"

// Column of a table. W is its width in mm; the columns with W 0 share what is left.
type Column struct {
	Head  string
	W     float64
	Right bool // numbers stand on the right; marks hang outside
}

// Cell of a table with the footnotes of its number.
type Cell struct {
	Text  string
	Bold  bool
	Muted bool
	Notes []int
	To    string // a target the cell links to
	id    string // of the cell as a target
}

// Row of a table. A row with Full set is one line of text over all columns.
type Row struct {
	Cells []Cell
	Full  []Run
	Gap   bool // half a line free above it
	id    string
}

// Table repeats its header on every page and is broken between rows.
type Table struct {
	ID, Title string
	Columns   []Column
	Rows      []Row
	Below     []Run
	Fill      bool // rule line under each row, for tables to be filled in by hand
	gap       float64
	set       *setTable // once it is broken into lines
}

// Between columns, in mm, and where there is little room.
const (
	colGap   = 3.0
	closeGap = 1.9
)

// A line to write on: its height in baselines, and the mm above it.
const (
	fillLine = 1.15
	fillGap  = 0.6
)

// grid gives the left edge and the width of each column.
func (t *Table) grid(total float64) (x, w []float64) {
	gap := t.between()
	fixed, open := gap*float64(len(t.Columns)-1), 0
	for _, c := range t.Columns {
		fixed += c.W
		if c.W == 0 {
			open++
		}
	}
	at := 0.0
	for _, c := range t.Columns {
		cw := c.W
		if cw == 0 {
			cw = (total - fixed) / float64(open)
		}
		x, w = append(x, at), append(w, cw)
		at += cw + gap
	}
	return x, w
}

// between is the gap between columns.
func (t *Table) between() float64 {
	if t.gap > 0 {
		return t.gap
	}
	return colGap
}

// laid is a row broken into lines.
type laid struct {
	cells [][][]Run // column, line, runs
	full  [][]Run
	lines int
	gap   float64
	notes []int
	ids   []string // targets in it
}

// setTable is a table broken into lines.
type setTable struct {
	head laid
	rows []laid
}

func (d *Doc) setOf(t Table, w []float64) *setTable {
	return &setTable{d.lay(t, headRow(t), w), d.layAll(t, w)}
}

// Table sets a table.
func (d *Doc) Table(t Table) {
	x, w := t.grid(d.Width())
	if t.set == nil {
		t.set = d.setOf(t, w)
	}
	head, rows := t.set.head, t.set.rows
	d.tableTitle(t, head, rows)
	d.tableHead(t, head, x, w)
	var group *laid // the head of the rows at hand, repeated after a page break
	for i := range rows {
		r := &rows[i]
		if r.full != nil {
			group = r
			if i+1 < len(rows) { // keep it with the row it heads
				h := float64(r.lines+rows[i+1].lines)*d.lead + r.gap + rows[i+1].gap
				if i+2 == len(rows) {
					h += d.belowHeight(t)
				}
				if d.room(rows[i+1].notes) < h {
					d.breakTable(t, head, nil, x, w)
				}
			}
		}
		if d.tailSplits(t, rows, i) {
			d.breakTable(t, head, group, x, w)
		}
		d.tableRow(t, head, group, r, x, w)
	}
	if len(t.Below) > 0 {
		d.y += 0.25 * d.lead
		d.Para(11, nil, t.Below...)
	}
}

// tailSplits reports that from row i on a table has only its last rows left and
// they do not fit with what stands below them, so that a page break is due: a
// page is not to begin with a single row, nor with the words below alone.
func (d *Doc) tailSplits(t Table, rows []laid, i int) bool {
	left := len(rows) - i
	switch {
	case i == 0 || left > 2 || rows[i-1].full != nil || rows[i].full != nil:
		return false
	case left == 2 && (i == 1 || rows[i+1].full != nil):
		return false // one row would stay behind
	}
	h, ids := d.belowHeight(t), []int(nil)
	for _, r := range rows[i:] {
		h += float64(r.lines)*d.lead + r.gap
		ids = append(ids, r.notes...)
	}
	return d.room(ids) < h
}

func (d *Doc) belowHeight(t Table) float64 {
	if len(t.Below) == 0 {
		return 0
	}
	return (float64(len(wrap(d.cleanRuns(t.Below), d.Span(11), TextPt))) + 0.25) * d.lead
}

func headRow(t Table) Row {
	cells := make([]Cell, len(t.Columns))
	for i, c := range t.Columns {
		cells[i] = Cell{Text: c.Head, Bold: true}
	}
	return Row{Cells: cells}
}

// tableTitle keeps title, header and the first two rows together.
func (d *Doc) tableTitle(t Table, head laid, rows []laid) {
	if t.Title == "" {
		return // a caption above it has seen to that
	}
	need := float64(head.lines+2) * d.lead
	for _, r := range rows[:min(2, len(rows))] {
		need += float64(r.lines)*d.lead + r.gap
	}
	d.Need(min(need, d.bottom()-Margin))
	label := ""
	if t.ID != "" {
		label = d.number("Table", t.ID) + "  "
	}
	for _, line := range wrap([]Run{B(label), T(d.clean(t.Title))}, d.Width(), TextPt) {
		d.place(block{h: d.lead, draw: func(top float64) { d.drawRuns(Margin, top+baselineIn, line, TextPt) }})
	}
	d.y += 0.25 * d.lead
}

func (d *Doc) tableHead(t Table, head laid, x, w []float64) {
	d.place(block{h: float64(head.lines)*d.lead + 1.5, draw: func(top float64) {
		d.drawLaid(t, head, x, w, top, 0, head.lines, true)
		last := len(x) - 1
		d.rule(Margin, top+float64(head.lines)*d.lead+0.5, Margin+x[last]+w[last])
	}})
}

// breakTable goes on with the table on a new page, under its header and the
// head of the group at hand, unless this page is still empty.
func (d *Doc) breakTable(t Table, head laid, group *laid, x, w []float64) {
	if d.y <= Margin+float64(head.lines)*d.lead+1.5 {
		return
	}
	d.openPage()
	d.tableHead(t, head, x, w)
	if group != nil {
		d.drawLaid(t, *group, x, w, d.y, 0, group.lines, false)
		d.y += float64(group.lines) * d.lead
	}
}

// tableRow places a row, on a new page where it does not fit; only a row
// taller than a page is itself broken.
func (d *Doc) tableRow(t Table, head laid, group, r *laid, x, w []float64) {
	if group == r {
		group = nil
	}
	for from := 0; from < r.lines; {
		gap := r.gap
		h := float64(r.lines-from)*d.lead + gap
		if d.room(r.notes) < h {
			d.breakTable(t, head, group, x, w)
		}
		if d.y <= Margin+float64(head.lines)*d.lead+1.5 {
			gap = 0 // no gap under the header
			h = float64(r.lines-from) * d.lead
		}
		n := r.lines - from
		if d.room(nil) < h {
			n = max(1, min(n, int((d.room(nil)-gap)/d.lead)))
			h = float64(n)*d.lead + gap
		}
		d.notes.add(r.notes)
		for _, id := range r.ids {
			d.targets[id] = Target{d.labels[id], d.page, d.y}
		}
		d.drawLaid(t, *r, x, w, d.y+gap, from, from+n, false)
		d.y += h
		d.used = d.y
		if t.Fill {
			d.rule(Margin, d.y, Margin+d.Width())
			d.boxes = append(d.boxes, Placed{Page: d.page, Box: chart.Box{X: Margin, Y: d.y, W: d.Width()}}) // a line is not nothing
		}
		from += n
	}
}

// layAll lays every row; one that takes several lines has a little air above and below,
// so that it is seen where it ends.
func (d *Doc) layAll(t Table, w []float64) []laid {
	rows := make([]laid, len(t.Rows))
	for i, r := range t.Rows {
		rows[i] = d.lay(t, r, w)
		if i > 0 && rows[i].gap == 0 && rows[i-1].full == nil && max(rows[i].lines, rows[i-1].lines) > 1 {
			rows[i].gap = 0.3 * d.lead
		}
	}
	return rows
}

// lay breaks the cells of a row into lines and collects their footnotes.
func (d *Doc) lay(t Table, r Row, w []float64) laid {
	out := laid{lines: 1}
	if r.Gap {
		out.gap = 0.5 * d.lead
		if d.lead < Baseline {
			out.gap = 0.3 * d.lead
		}
	}
	if t.Fill {
		out.gap = fillGap
	}
	if r.id != "" {
		out.ids = append(out.ids, r.id)
	}
	if r.Full != nil {
		out.full = wrap(d.cleanRuns(r.Full), d.Width(), TextPt)
		out.lines = len(out.full)
		return out
	}
	for i, c := range r.Cells {
		out.notes = append(out.notes, c.Notes...)
		runs := d.cellRuns(c)
		if c.id != "" {
			out.ids = append(out.ids, c.id)
		}
		lines := d.cellLines(runs, w[i]+0.02)
		out.cells = append(out.cells, lines)
		out.lines = max(out.lines, len(lines))
	}
	return out
}

// cellRuns is what a cell says, with its marks.
func (d *Doc) cellRuns(c Cell) []Run {
	runs := []Run{{Text: d.clean(c.Text), Bold: c.Bold, Muted: c.Muted, To: c.To}}
	if len(c.Notes) > 0 {
		runs = append(runs, Run{marks: c.Notes})
	}
	return runs
}

func (d *Doc) drawLaid(t Table, r laid, x, w []float64, top float64, from, to int, foot bool) {
	for i := from; i < min(to, len(r.full)); i++ {
		d.drawRuns(Margin, top+float64(i-from)*d.lead+baselineIn, r.full[i], TextPt)
	}
	for c, lines := range r.cells {
		shift := 0
		if foot { // headers stand on their rule
			shift = r.lines - len(lines)
		}
		for i := from; i < min(to, len(lines)); i++ {
			lx := Margin + x[c]
			if t.Columns[c].Right {
				lx = rightEdge(lines[i], lx, w[c], c == len(x)-1, t.between())
			}
			d.drawRuns(lx, top+float64(i-from+shift)*d.lead+baselineIn, lines[i], TextPt)
		}
	}
}

// rightEdge gives the start of a right-aligned line whose trailing footnote
// marks hang outside the column, so that figures align; those of the last
// column would hang into the margin and stay inside.
func rightEdge(line []Run, x, w float64, last bool, gap float64) float64 {
	total, hang := 0.0, 0.0
	for i, r := range line {
		rw := r.width(TextPt)
		total += rw
		if !last && i > 0 && i == len(line)-1 && len(r.marks) > 0 {
			hang = rw
		}
	}
	return x + w - total + min(hang, gap-0.5)
}
