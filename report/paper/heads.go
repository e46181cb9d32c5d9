package paper

import (
	"fmt"

	"github.com/go-pdf/fpdf"

	"shortfall/report/chart"
)

// mark files a bookmark here and, where it has an id, a target.
func (d *Doc) mark(id, label string, level int) {
	d.bookmark(label, level)
	if id != "" {
		d.targets[id] = Target{label, d.page, d.y}
	}
}

func (d *Doc) bookmark(label string, level int) {
	label, y := d.clean(label), d.y
	d.step(func(p *fpdf.Fpdf) { p.Bookmark(label, level, y) })
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
	d.step(func(p *fpdf.Fpdf) {
		id := p.AddLink()
		p.SetLink(id, t.y, t.Page)
		p.Link(on.X, on.Y, on.W, on.H, id)
	})
	d.ways = append(d.ways, Way{Page: d.page, Box: on, To: to})
}
