package paper

import "shortfall/report/document"

// afterRoom is what is kept free below a table that is there if there is room: a line of
// text that may follow.
const afterRoom = 2.5 * Baseline

// leastLines are worth a table to fill in.
const leastLines = 4

// ifRoom is a table that stands where there is room: as it is, with as many lines to fill
// in as fit, or not at all.
func (d *Doc) ifRoom(before document.Block, t document.Table) (document.Table, bool) {
	if !t.IfRoom {
		return t, true
	}
	if d.page == 0 || d.y == Margin {
		return t, false
	}
	room := d.room(nil) - afterRoom - d.spaceBefore(before, t)*Baseline
	if !t.ToFill {
		return t, d.tableHeight(t) <= room
	}
	const line = fillLine*Baseline + fillGap
	lines := int((room - 2*Baseline) / line)
	for len(t.Rows) < lines {
		t.Rows = append(t.Rows, document.Row{Cells: make([]document.Cell, len(t.Columns))})
	}
	return t, lines >= leastLines
}

// tableHeight is what a table without notes takes, with its caption, at the widest lead.
func (d *Doc) tableHeight(t document.Table) float64 {
	defer d.leadOf(t)()
	old := d.tableOf(t)
	_, w := old.grid(d.Width())
	h := 1.5*Baseline + float64(d.lay(old, headRow(old), w).lines)*d.lead
	for _, r := range old.Rows {
		l := d.lay(old, r, w)
		h += float64(l.lines)*d.lead + l.gap
	}
	return h + d.belowHeight(old)
}

// fitsToo is true of a figure that the rest of the page has room for, pressed if need be:
// it comes before anything that is there for room.
func (d *Doc) fitsToo(b document.Block) bool {
	f, ok := b.(document.Figure)
	if !ok {
		return false
	}
	defer func(before int) { d.tight = before }(d.tight)
	d.tight = mostTight
	h := d.captionAbove(f) + d.captionBelow(f)
	for i := range f.Drawings {
		h += d.whole(&f.Drawings[i], d.pressed(f.Drawings[i])).H + figureGap
	}
	return h <= d.room(nil)
}
