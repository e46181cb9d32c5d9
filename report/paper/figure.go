package paper

import (
	"shortfall/report/chart"
)

// Figure is a chart with its caption: a title that states the finding above
// it, and a line of sources and references below.
type Figure struct {
	ID    string
	Title string
	More  []Run // closes the title, for a reference
	Chart *chart.Figure
	Below []Run
	Notes []int
}

// Place sets a figure with its caption on one page. With again it goes on
// under the number of the figure before: "Figure 3, continued".
func (d *Doc) Place(f Figure, again bool) {
	title := func(label string) [][]Run { return d.captionTitle(label, f) }
	below := wrap(d.cleanRuns(f.Below), d.Width(), TextPt)
	h := d.Frame(f) + f.Chart.H
	d.place(block{h: h, notes: f.Notes, draw: func(top float64) {
		var label string
		if again {
			label = d.targets[f.ID].Label + ", continued"
		} else {
			label = d.number("Figure", f.ID)
		}
		d.lines(title(label), top)
		top += (float64(len(title(label))) + 0.25) * Baseline
		f.Chart.PDF(d.pdf, Margin, top, d.saw, nil)
		d.lines(below, top+f.Chart.H+0.35*Baseline)
	}})
}

func (d *Doc) captionTitle(label string, f Figure) [][]Run {
	runs := append([]Run{B(label + "  "), T(f.Title)}, f.More...)
	return wrap(d.cleanRuns(runs), d.Width(), TextPt)
}

// Frame is the height in mm of what stands around a chart: title and lines below.
func (d *Doc) Frame(f Figure) float64 {
	lines := len(d.captionTitle("Figure\u00a000, continued", f)) + len(wrap(d.cleanRuns(f.Below), d.Width(), TextPt))
	if len(f.Below) == 0 {
		return (float64(lines) + 0.25) * Baseline
	}
	return (float64(lines) + 0.6) * Baseline
}

func (d *Doc) lines(lines [][]Run, top float64) {
	for _, line := range lines {
		d.drawRuns(Margin, top+baselineIn, line, TextPt)
		top += Baseline
	}
}
