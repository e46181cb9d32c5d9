package chart

import "math"

// PlanPoint is one group of plans of like size: medians of planned and
// achieved, and the quartiles of achieved (NaN: none).
type PlanPoint struct {
	ID, Title                    string // where it can be pointed at
	Planned, Achieved, Low, High float64
}

// PlanSeries is the groups of one style in order of size.
type PlanSeries struct {
	Name   string
	Marker Marker
	Points []PlanPoint
}

// PlanPanel is one axis of movement.
type PlanPanel struct {
	Title, Unit string
	Tolerance   float64
	Series      []PlanSeries
}

// PlanPanels sets achieved against planned, a square panel an axis of movement.
type PlanPanels struct {
	Title  string
	Panels []PlanPanel
	Width  float64
}

// PlanAcross panels stand in a row.
const PlanAcross = 3

// Sizes in mm.
const (
	planGap    = 5.0
	planLeft   = 9.0 // for the labels of the scale
	planRight  = 2.0 // half of the last label
	planHead   = 1.2 * RowHeight
	planFoot   = 1.1 * RowHeight
	planLegend = 2.2 * RowHeight
)

func (p PlanPanels) side() float64 {
	return (p.Width-planGap*(PlanAcross-1)-planRight)/PlanAcross - planLeft
}

// Figure draws the panels row by row.
func (p PlanPanels) Figure(desc string) *Figure {
	rows := (len(p.Panels) + PlanAcross - 1) / PlanAcross
	high := planHead + p.side() + planFoot + RowHeight
	f := &Figure{Title: p.Title, Desc: desc, W: p.Width, H: planLegend + float64(rows)*high}
	p.legend(f)
	for i, panel := range p.Panels {
		x := float64(i%PlanAcross) * (p.side() + planLeft + planGap)
		panel.draw(f, x, planLegend+float64(i/PlanAcross)*high, p.side())
	}
	return f
}

// legend explains markers and lines.
func (p PlanPanels) legend(f *Figure) {
	x, y := 0.0, 3.2
	for _, s := range p.series() {
		s.Marker.draw(f, x+markerR, y-1.1)
		x += 4 + f.ink(x+4, y, s.Name, Start, false, Muted) + 5
	}
	x, y = 0, y+RowHeight
	for _, l := range []struct {
		pen  Pen
		name string
	}{{refPen, "all that was planned"}, {meanPen, "tolerance on either side"}} {
		f.line(x, y-1.1, x+6, y-1.1, l.pen)
		x += 7.5 + f.ink(x+7.5, y, l.name, Start, false, Muted) + 5
	}
	f.line(x+1, y-3, x+1, y+0.6, Pen{Colour: Muted, Width: 0.3})
	f.ink(x+2.5, y, "middle half of the movements", Start, false, Muted)
}

// series are the styles that are drawn, each once.
func (p PlanPanels) series() (out []PlanSeries) {
	seen := map[Marker]bool{}
	for _, panel := range p.Panels {
		for _, s := range panel.Series {
			if !seen[s.Marker] {
				seen[s.Marker] = true
				out = append(out, s)
			}
		}
	}
	return out
}

// ticks of both scales of a panel, which are the same.
func (p PlanPanel) ticks() []float64 {
	lo, hi := 0.0, p.Tolerance
	for _, s := range p.Series {
		for _, q := range s.Points {
			for _, v := range []float64{q.Planned, q.Achieved, q.Low, q.High} {
				if !math.IsNaN(v) {
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
			}
		}
	}
	return Ticks(lo, hi, 5)
}

func (p PlanPanel) draw(f *Figure, left, top, side float64) {
	f.text(left+planLeft, top+3.2, p.Title, Start, true)
	top += planHead
	ticks := p.ticks()
	x := axis{ticks[0], ticks[len(ticks)-1], left + planLeft, side}
	y := axis{x.lo, x.hi, top + side, -side}
	for _, t := range ticks {
		f.line(x.x, y.at(t), x.x+side, y.at(t), gridPen)
		f.ink(x.x-1.2, y.at(t)+1.1, tickLabel(t), End, false, Muted)
		if t >= 0 { // nothing is planned below nothing
			f.line(x.at(t), top, x.at(t), top+side, gridPen)
			f.ink(x.at(t), top+side+4.2, tickLabel(t), Middle, false, Muted)
		}
	}
	f.line(x.x, top+side, x.x+side, top+side, axisPen)
	f.line(x.x, top, x.x, top+side, axisPen)
	f.ink(x.x+side, top+side+planFoot+3.4, "planned, "+p.Unit, End, false, Muted)
	f.ink(x.x+1, top+3.4, "achieved", Start, false, Muted)
	for _, by := range []float64{-p.Tolerance, 0, p.Tolerance} {
		pen := meanPen
		if by == 0 {
			pen = refPen
		}
		from, to := math.Max(x.lo, x.lo-by), math.Min(x.hi, x.hi-by)
		f.line(x.at(from), y.at(from+by), x.at(to), y.at(to+by), pen)
	}
	for i, s := range p.Series {
		s.draw(f, x, y, 0.7*(float64(i)-float64(len(p.Series)-1)/2))
	}
}

// draw sets a series dx mm beside its place, so that uprights of styles with
// plans of the same size stay apart.
func (s PlanSeries) draw(f *Figure, x, y axis, dx float64) {
	var through []Point
	for _, q := range s.Points {
		px := x.at(q.Planned) + dx
		through = append(through, Point{px, y.at(q.Achieved)})
		if !math.IsNaN(q.Low) && !math.IsNaN(q.High) {
			f.line(px, y.at(q.Low), px, y.at(q.High), Pen{Colour: s.Marker.Colour(), Width: 0.3})
		}
	}
	if len(through) > 1 {
		f.add(Polyline{through, Pen{Colour: s.Marker.Colour(), Width: 0.3}})
	}
	for i, pt := range through {
		f.maybeKey(s.Points[i].ID, s.Points[i].Title, func(f *Figure) { s.Marker.draw(f, pt.X, pt.Y) })
	}
}
