package paper

import (
	"fmt"

	"shortfall/report/chart"
)

// mark files a bookmark here and, where it has an id, a target.
func (d *Doc) mark(id, label string, level int) {
	d.pdf.Bookmark(d.clean(label), level, d.y)
	if id != "" {
		d.targets[id] = Target{label, d.page, d.y}
	}
}

// number names the next figure or table and remembers where it stands.
func (d *Doc) number(kind, id string) string {
	d.numbers[kind]++
	label := fmt.Sprintf("%s\u00a0%d", kind, d.numbers[kind])
	d.targets[id] = Target{label, d.page, d.y}
	return label
}

// link makes a piece of a line lead to a target.
func (d *Doc) link(x, base, w float64, to string) {
	d.linkArea(chart.Box{X: x, Y: base - baselineIn, W: w, H: Baseline}, to)
}

// leadingLine draws a line that leads to a target as a whole, where it has one.
func (d *Doc) leadingLine(top float64, line []Run, to string) {
	end := d.drawRuns(Margin, top+baselineIn, line, TextPt)
	d.linkArea(chart.Box{X: Margin, Y: top, W: end - Margin, H: Baseline}, to)
}

// linkArea makes an area of the page lead to a target of the pass before.
func (d *Doc) linkArea(on chart.Box, to string) {
	t, ok := d.known[to]
	if !ok {
		return
	}
	id := d.pdf.AddLink()
	d.pdf.SetLink(id, t.y, t.Page)
	d.pdf.Link(on.X, on.Y, on.W, on.H, id)
	d.ways = append(d.ways, Way{Page: d.page, Box: on, To: to})
}
