package paper

import (
	"shortfall/report/chart"
)

// Figure is a chart with its caption: a title that states the finding above
// it, and a line of sources and references below.
type Figure struct {
	ID    string
	Title string
	Chart *chart.Figure
	Below []Run
	Notes []int
}

// Place sets a figure with its caption on one page. With again it goes on
// under the number of the figure before: "Figure 3, continued".
func (d *Doc) Place(f Figure, again bool) {
	w := d.Span(12)
	title := func(label string) [][]Run {
		return wrap([]Run{B(label + "  "), T(d.clean(f.Title))}, w, TextPt)
	}
	below := wrap(d.cleanRuns(f.Below), d.Span(11), TextPt)
	h := float64(len(title("Figure\u00a000, continued"))+len(below))*Baseline + f.Chart.H + 0.5*Baseline
	d.place(block{h: h, notes: f.Notes, draw: func(top float64) {
		var label string
		if again {
			label = d.targets[f.ID].Label + ", continued"
		} else {
			label = d.number("Figure", f.ID)
		}
		d.lines(title(label), top)
		top += float64(len(title(label))) * Baseline
		f.Chart.PDF(d.pdf, Margin, top, d.saw)
		d.lines(below, top+f.Chart.H+0.5*Baseline)
	}})
}

// Bare places a chart without a caption.
func (d *Doc) Bare(c *chart.Figure, notes []int) {
	d.place(block{h: c.H, notes: notes, draw: func(top float64) { c.PDF(d.pdf, Margin, top, d.saw) }})
}

func (d *Doc) lines(lines [][]Run, top float64) {
	for _, line := range lines {
		d.drawRuns(Margin, top+baselineIn, line, TextPt)
		top += Baseline
	}
}
