package chart

import (
	"math"
	"strconv"
	"strings"
)

// ForestRow is one estimate with its text columns, already worded.
type ForestRow struct {
	Label, Style   string
	Marker         Marker
	Est, Low, High float64 // NaN where not estimated
	N              string  // cases / movements
	Text           string  // estimate and interval
	Marks          string
	Pale           bool // below what the measurement can detect: drawn grey
}

// ForestPanel is one axis of movement with its own mean.
type ForestPanel struct {
	Title string
	Mean  float64 // dashed line; NaN for none
	Rows  []ForestRow
}

// Forest sets panels above each other on one scale of percent of the plan.
type Forest struct {
	Title  string
	Level  string // of the intervals, "95 %"
	Panels []ForestPanel
	Width  float64
	Lo, Hi float64 // of the scale, as ratios; set once for every part of a figure
}

// ForestRange is a scale that holds every estimate of the panels, and their
// intervals where they stay between -25 % and 200 %; the rest gets arrows.
func ForestRange(panels []ForestPanel) (lo, hi float64) {
	hi = 1.1
	for _, p := range panels {
		for _, r := range p.Rows {
			for _, v := range []float64{r.Est, r.Low, r.High} {
				if v >= -0.25 && v <= 2 {
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
			}
		}
	}
	t := Ticks(lo, hi, 7)
	return t[0], t[len(t)-1]
}

// columns of the forest in mm.
const (
	forestStyleX = 34.0
	forestPlotX  = 68.0
	forestNW     = 18.0
	forestTextW  = 31.0
)

// Height of a panel in mm.
func (p ForestPanel) Height() float64 { return (float64(len(p.Rows)) + 1.25) * RowHeight }

// ForestFrame is the height of heads and scale in mm.
const ForestFrame = 3.2 * RowHeight

// Figure draws the panels.
func (fo Forest) Figure(desc string) *Figure {
	f := &Figure{Title: fo.Title, Desc: desc, W: fo.Width, H: ForestFrame}
	a := axis{fo.Lo, fo.Hi, forestPlotX, fo.Width - forestPlotX - forestNW - forestTextW - 3}
	f.ink(fo.Width-forestTextW-1, 3.2, "cases /", End, false, Muted)
	f.ink(fo.Width-forestTextW-1, 3.2+RowHeight, "movements", End, false, Muted)
	f.ink(fo.Width, 3.2+RowHeight, "% ("+fo.Level+" CI)", End, false, Muted)
	y := 1.2 * RowHeight
	for _, p := range fo.Panels {
		fo.panel(f, p, a, y)
		f.H += p.Height()
		y += p.Height()
	}
	fo.scale(f, a, y)
	return f
}

func (fo Forest) panel(f *Figure, p ForestPanel, a axis, y float64) {
	f.text(0, y+3.4, p.Title, Start, true)
	top, bottom := y+RowHeight, y+float64(len(p.Rows)+1)*RowHeight
	f.line(a.at(1), top, a.at(1), bottom, refPen)
	if a.lo < 0 {
		f.line(a.at(0), top, a.at(0), bottom, gridPen)
	}
	if a.inside(p.Mean) {
		f.line(a.at(p.Mean), top, a.at(p.Mean), bottom, meanPen)
	}
	y = top
	for _, r := range p.Rows {
		f.text(0, y+3.4, r.Label, Start, false)
		f.ink(forestStyleX, y+3.4, r.Style, Start, false, Muted)
		mid := y + 2.3
		c := r.Marker.Colour()
		if r.Pale {
			c = PaleMark
		}
		f.interval(a, mid, r.Est, r.Low, r.High, Pen{Colour: c, Width: 0.35})
		if a.inside(r.Est) {
			r.Marker.drawIn(f, a.at(r.Est), mid, c)
		}
		f.ink(fo.Width-forestTextW-1, y+3.4, r.N, End, false, Muted)
		f.hang(fo.Width, y+3.4, r.Text, r.Marks)
		y += RowHeight
	}
}

// hang writes a right-aligned text and its footnote marks, all left of x.
func (f *Figure) hang(x, y float64, s, marks string) {
	f.text(x, y, s+marks, End, false)
}

func (fo Forest) scale(f *Figure, a axis, y float64) {
	f.line(a.x, y, a.x+a.w, y, axisPen)
	for _, t := range Ticks(a.lo, a.hi, 7) {
		if !a.inside(t) {
			continue
		}
		f.line(a.at(t), y, a.at(t), y+0.9, axisPen)
		f.ink(a.at(t), y+4.2, percentLabel(t), Middle, false, Muted)
	}
	f.ink(a.x-4, y+4.2, "achieved, % of planned", End, false, Muted)
}

// percentLabel writes a ratio as whole percent with a true minus.
func percentLabel(v float64) string {
	s := strconv.Itoa(int(math.Round(v * 100)))
	return strings.Replace(s, "-", "−", 1)
}
