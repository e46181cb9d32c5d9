package paper

import (
	"strconv"

	"github.com/go-pdf/fpdf"

	"shortfall/report/chart"
	"shortfall/report/document"
)

func itoa(n int) string { return strconv.Itoa(n) }

// tableOf is a table of a document in columns of their widths.
func (d *Doc) tableOf(t document.Table) Table {
	old := Table{Fill: t.ToFill}
	rows := make([][][]Run, len(t.Rows))
	for i, r := range t.Rows {
		row := Row{Gap: r.Group != nil && i > 0, id: r.ID}
		if r.Group != nil {
			row.Full, _ = d.runs(r.Group)
			old.Rows = append(old.Rows, row)
			continue
		}
		for _, c := range r.Cells {
			cell := Cell{Text: c.Text, Bold: c.Strong, Muted: c.Quiet, Notes: d.register(c.Notes), To: c.To, id: c.ID}
			row.Cells = append(row.Cells, cell)
			rows[i] = append(rows[i], d.cellRuns(cell))
		}
		old.Rows = append(old.Rows, row)
	}
	widths, gap := d.columnWidths(t, rows, d.Width())
	old.gap = gap
	for i, w := range widths {
		old.Columns = append(old.Columns, Column{Head: t.Columns[i].Title, W: w, Right: t.Columns[i].Number})
	}
	below, _ := d.runs(t.Below)
	old.Below = below
	return old
}

// table sets a table of a document: its title, its head on every page, its rows.
func (d *Doc) table(t document.Table, level int) {
	defer d.leadOf(t)()
	set := d.tableOf(t)
	d.captioned(document.Figure{ID: t.ID, Title: t.Title}, level, d.firstRows(&set))
	d.Table(set)
}

// leadOf takes the leading of a table until what it gives is called.
func (d *Doc) leadOf(t document.Table) (back func()) {
	lead := d.lead
	if len(t.Rows) > 6 && !t.ToFill {
		d.lead = Dense
	}
	if t.ToFill {
		d.lead = fillLine * Baseline
		if d.single && d.tight > 1 {
			d.lead = Baseline
		}
	}
	return func() { d.lead = lead }
}

// mostWhole is the share of a page up to which a table, without its notes, is not broken.
const mostWhole = 0.25

// firstRows is the height of the head of a table and its first rows, with their
// notes: what must follow its caption on the same page. Of a small table it is all. The
// table keeps its lines for setting it.
func (d *Doc) firstRows(t *Table) float64 {
	_, w := t.grid(d.Width())
	t.set = d.setOf(*t, w)
	head := float64(t.set.head.lines)*d.lead + 2
	h, ids, first := head, []int(nil), head
	for i, r := range t.set.rows {
		h += float64(r.lines)*d.lead + r.gap
		ids = append(ids, r.notes...)
		if i < 3 {
			first = h + d.more(ids)
		}
	}
	if h += d.belowHeight(*t); h < mostWhole*d.Height() {
		return h + d.more(ids)
	}
	return first
}

// more is the height by which notes add to those of the page.
func (d *Doc) more(ids []int) float64 {
	return d.notes.height(d.notes.with(ids)) - d.notes.height(d.notes.here)
}

// tableLeast is what of a table must stand below a heading: its caption and first rows.
func (d *Doc) tableLeast(t document.Table) float64 {
	defer d.leadOf(t)()
	lines, under := d.captionLines(document.Figure{ID: t.ID, Title: t.Title})
	set := d.tableOf(t)
	return (float64(len(lines)+len(under))+0.3)*Baseline + d.firstRows(&set)
}

// captioned sets the title of a figure or a table, with its label in front,
// and files a bookmark. Need is what must stand below it on the same page.
func (d *Doc) captioned(f document.Figure, level int, need float64) {
	if f.Title == "" {
		return
	}
	lines, under := d.captionLines(f)
	d.Need(min((float64(len(lines)+len(under))+0.3)*Baseline+need, d.Height()))
	if f.ID != "" {
		d.bookmark(d.labels[f.ID]+"  "+f.Title, level-1)
		d.targets[f.ID] = Target{d.labels[f.ID], d.page, d.y}
	}
	d.captionDraw(lines, under, f.To)
}

func (d *Doc) captionLines(f document.Figure) (lines, under [][]Run) {
	return d.captionUnder(f, d.labels[f.ID])
}

// captionAgain is the caption on a page on which the figure goes on.
func (d *Doc) captionAgain(f document.Figure) (lines, under [][]Run) {
	return d.captionUnder(f, d.labels[f.ID]+", continued")
}

func (d *Doc) captionUnder(f document.Figure, label string) (lines, under [][]Run) {
	for _, line := range d.balanced(d.clean(f.Title), d.Width(), TextPt) {
		lines = append(lines, []Run{{Text: line, Bold: true}})
	}
	var runs []Run
	if label != "" {
		runs = append(runs, Run{Text: label, Muted: true})
	}
	if more, _ := d.runs(f.Sub); len(more) > 0 {
		if label != "" {
			runs = append(runs, Run{Text: " · ", Muted: true})
		}
		runs = append(runs, more...)
	}
	for i := range runs {
		runs[i].Muted = true
	}
	return lines, wrap(runs, d.Width(), TextPt)
}

func (d *Doc) captionDraw(lines, under [][]Run, to string) {
	for _, line := range append(lines[:len(lines):len(lines)], under...) {
		d.place(block{h: Baseline, draw: func(top float64) { d.leadingLine(top, line, to) }})
	}
	d.y += 0.3 * Baseline
}

// beginning is the height of a figure's caption and of the part of its first
// drawing worth beginning with.
func (d *Doc) beginning(f document.Figure) float64 {
	lines, under := d.captionAgain(f)
	return (float64(len(lines)+len(under))+0.3)*Baseline + d.leastOf(&f.Drawings[0]).H + figureGap
}

const figureGap = 2.0 // mm between the drawings of a figure

// leastOf is the part of a drawing worth beginning it on a page.
func (d *Doc) leastOf(of *document.Drawing) *chart.Figure {
	dr := d.pressed(*of)
	if v, ok := dr.(document.Divisible); ok {
		return d.part(of, v, 0, min(leastParts, v.Parts()))
	}
	if v, ok := dr.(chart.Fitter); ok && d.single {
		return v.Least().Draw(d.Width())
	}
	return d.whole(of, dr)
}

const leastParts = 3

// belowWhole is the height of what stands below a figure that is not broken.
func (d *Doc) belowWhole(f document.Figure) float64 {
	if len(f.Drawings) != 1 {
		return 0
	}
	if _, ok := f.Drawings[0].(document.Divisible); ok {
		return 0
	}
	return d.captionBelow(f)
}

// figure sets a figure: caption, drawings over as many pages as they need, and
// what stands below.
func (d *Doc) figure(f document.Figure, level int) {
	if d.compact && !d.single {
		d.tight = d.tightToFit(f)
		defer func() { d.tight = 0 }()
	}
	first := d.beginning(f)
	below, belowIDs := d.runs(f.Below)
	belowLines := wrap(below, d.measure(), TextPt)
	first += d.belowWhole(f)
	d.captioned(f, level, first-d.captionAbove(f))
	ids := d.register(f.Notes)
	for i := range f.Drawings {
		if i > 0 {
			d.y += figureGap
		}
		d.drawing(f, &f.Drawings[i], ids)
	}
	if len(belowLines) > 0 {
		d.y += 0.25 * Baseline
		lead := d.lead
		d.lead = Dense
		for i := range below {
			below[i].Muted = below[i].To == "" && !below[i].Bold
		}
		d.placed("", 0, d.measure(), belowIDs, below)
		d.lead = lead
	}
}

// drawing sets one drawing; one that may be broken goes on under a repeated caption.
func (d *Doc) drawing(f document.Figure, of *document.Drawing, ids []int) {
	dr := d.pressed(*of)
	if v, ok := dr.(chart.Fitter); ok && d.single {
		dr = v.Fit(d.room(ids) - d.captionBelow(f))
		of = &dr // another for each room
	}
	v, divisible := dr.(document.Divisible)
	whole := d.whole(of, dr)
	if !divisible || whole.H <= d.room(notesOf(whole, ids)) {
		d.drawFigure(f, whole, ids)
		return
	}
	for from := 0; from < v.Parts(); {
		to := from + 1
		for to < v.Parts() {
			fig := d.part(of, v, from, to+1)
			if fig.H > d.room(notesOf(fig, ids)) {
				break
			}
			to++
		}
		if from > 0 || to-from >= min(leastParts, v.Parts()) || d.y < Margin+6*Baseline {
			d.drawFigure(f, d.part(of, v, from, to), ids)
			from = to
		}
		if from < v.Parts() {
			d.NewPage()
			lines, under := d.captionAgain(f)
			d.captionDraw(lines, under, f.To)
		}
	}
}

// captionAbove is the height of the title of a figure, with the line below it.
func (d *Doc) captionAbove(f document.Figure) float64 {
	lines, under := d.captionLines(f)
	return (float64(len(lines)+len(under)) + 0.3) * Baseline
}

// captionBelow is the room that what stands below a figure needs.
func (d *Doc) captionBelow(f document.Figure) float64 {
	below, ids := d.runs(f.Below)
	if len(below) == 0 {
		return 0
	}
	return 0.25*Baseline + float64(len(wrap(below, d.measure(), TextPt)))*Dense + d.notes.height(d.notes.with(ids)) - d.notes.height(d.notes.here)
}

func (d *Doc) drawFigure(f document.Figure, fig *chart.Figure, ids []int) {
	due := notesOf(fig, ids)
	if d.page > 0 && d.room(due) < fig.H && d.y > Margin {
		d.NewPage()
		lines, under := d.captionAgain(f)
		d.captionDraw(lines, under, f.To)
	}
	d.place(block{h: fig.H, notes: due, draw: func(top float64) {
		to, marks := leads(f.Data), []string(nil)
		fig.Place(Margin, top, chart.Page{
			Seen:  d.saw,
			Keyed: func(id string, on chart.Box) { d.linkArea(on, to[id]) },
			Marks: func(ns []int) string {
				marks = append(marks, d.letters(pick(ids, ns)))
				return marks[len(marks)-1]
			},
		})
		d.step(func(p *fpdf.Fpdf) { fig.PDF(p, Margin, top, marks) })
	}})
}

// leads are the ids to which the data of a figure lead, by the key of what is drawn.
func leads(data *document.Table) map[string]string {
	out := map[string]string{}
	if data == nil {
		return out
	}
	for _, r := range data.Rows {
		for _, c := range r.Cells {
			if c.Datum != "" && c.To != "" {
				out[c.Datum] = c.To
			}
		}
	}
	return out
}

// notesOf are the notes whose marks stand in a drawing, in order of reading.
func notesOf(fig *chart.Figure, ids []int) (out []int) {
	seen := map[int]bool{}
	for _, t := range fig.Texts() {
		for _, id := range pick(ids, t.Notes) {
			if !seen[id] {
				seen[id] = true
				out = append(out, id)
			}
		}
	}
	return out
}

func pick(ids, at []int) (out []int) {
	for _, i := range at {
		if i >= 0 && i < len(ids) {
			out = append(out, ids[i])
		}
	}
	return out
}
