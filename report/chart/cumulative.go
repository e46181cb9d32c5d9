package chart

import "math"

// CumLine is a curve of a cumulative mean over time, a step function: Y[i] from
// X[i] on. Low and High may be nil.
type CumLine struct {
	ID           string // where it can be pointed at
	Name         string // behind its end
	Mark         Marker
	X            []float64 // months
	Y, Low, High []float64
	AtRisk       []string // one a tick of the axis, already worded
}

// Cumulative follows events a case over the months since the start, cases still
// under way leaving as their time ends.
type Cumulative struct {
	Title, Desc string
	YLabel      string // "refinements a case"
	Lines       []CumLine
	Until       float64   // months
	Horizon     float64   // a month to mark; 0 for none
	Ticks       []float64 // months at which AtRisk is given
	Height      float64
}

const (
	cumLeft  = 38.0
	cumRight = 39.0
)

// Tight lowers the curves.
func (c Cumulative) Tight(level int) Drawing {
	if c.Height == 0 {
		c.Height = 38
	}
	c.Height = math.Max(c.Height-6*float64(level), 20)
	return c
}

// Draw draws the curves, their bands and the cases still in treatment below.
func (c Cumulative) Draw(w float64) *Figure {
	h := c.Height
	if h == 0 {
		h = 38
	}
	top := 1.2 * RowHeight
	f := &Figure{Title: c.Title, Desc: c.Desc, W: w}
	most := 0.0
	for _, l := range c.Lines {
		for i, v := range l.Y {
			most = math.Max(most, v)
			if l.High != nil && !math.IsNaN(l.High[i]) {
				most = math.Max(most, l.High[i])
			}
		}
	}
	ticks := Ticks(0, math.Max(most, 0.1), 5)
	a := axis{0, c.Until, cumLeft, w - cumLeft - cumRight}
	hi := ticks[len(ticks)-1]
	y := func(v float64) float64 { return top + h - v/hi*h }
	f.ink(0, 3.2, c.YLabel, Start, false, Muted)
	for _, v := range ticks {
		f.line(a.x, y(v), a.x+a.w, y(v), gridPen)
		f.ink(a.x-1.8, y(v)+1.1, tickLabel(v), End, false, Muted)
	}
	if c.Horizon > 0 {
		f.line(a.at(c.Horizon), top, a.at(c.Horizon), top+h, refPen)
	}
	ends := make([]float64, len(c.Lines))
	for i, l := range c.Lines {
		f.maybeKey(l.ID, l.Name, func(f *Figure) { c.curve(f, a, y, l) })
		ends[i] = y(l.Y[len(l.Y)-1]) + 1.2
	}
	apart(ends, RowHeight-0.6, top, top+h)
	for i, l := range c.Lines {
		f.ink(a.x+a.w+2, ends[i], fitText(l.Name, cumRight-2, true), Start, true, l.Mark.Lettering())
	}
	f.line(a.x, top+h, a.x+a.w, top+h, axisPen)
	c.below(f, a, top+h)
	return f
}

// below writes the months and who is still in treatment at each.
func (c Cumulative) below(f *Figure, a axis, y float64) {
	for _, t := range c.Ticks {
		f.line(a.at(t), y, a.at(t), y+0.9, axisPen)
		f.ink(a.at(t), y+4.2, tickLabel(t), Middle, false, Muted)
	}
	f.ink(0, y+4.2, "months from the start", Start, false, Muted)
	y += 4.2
	if len(c.Lines) > 0 && len(c.Lines[0].AtRisk) > 0 {
		y += RowHeight - 0.4
		f.ink(0, y, "cases still in treatment", Start, false, Muted)
	}
	for _, l := range c.Lines {
		if len(l.AtRisk) == 0 {
			continue
		}
		y += RowHeight - 0.4
		if len(c.Lines) == 1 {
			y -= RowHeight - 0.4
		} else {
			f.ink(2, y, fitText(l.Name, cumLeft-4, false), Start, false, Muted)
		}
		for i, t := range c.Ticks {
			f.ink(a.at(t), y, l.AtRisk[i], Middle, false, Muted)
		}
	}
	f.H = y + 1.5
}

// curve draws the band of a line and the line, as steps.
func (c Cumulative) curve(f *Figure, a axis, y func(float64) float64, l CumLine) {
	steps := func(vs []float64) (out []Point) {
		for i, v := range vs {
			if i > 0 {
				out = append(out, Point{a.hold(l.X[i]), out[len(out)-1].Y})
			}
			out = append(out, Point{a.hold(l.X[i]), y(v)})
		}
		return append(out, Point{a.at(c.Until), out[len(out)-1].Y})
	}
	if len(l.Low) == len(l.Y) && len(l.High) == len(l.Y) {
		thin := Pen{Colour: l.Mark.Colour(), Width: 0.15, Dash: []float64{0.6, 0.6}}
		f.add(Polyline{steps(l.Low), thin}, Polyline{steps(l.High), thin})
	}
	f.add(Polyline{steps(l.Y), Pen{Colour: l.Mark.Colour(), Width: 0.6}})
}
