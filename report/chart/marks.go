package chart

import (
	"math"
	"strconv"
	"strings"
)

// Marker tells series apart by form as well as by hue.
type Marker int

// The markers: one for each way a feature is chosen, one for their total.
const (
	FilledCircle Marker = iota // clinician-designed
	OpenSquare                 // software-suggested
	Cross                      // none
	Diamond                    // all together
	Dot                        // a single value, of no style
)

// Colour of the marker's series.
func (m Marker) Colour() Colour {
	switch m {
	case FilledCircle:
		return Vermilion
	case OpenSquare:
		return Blue
	case Cross, Dot:
		return Grey
	}
	return Ink
}

// Lettering is the colour of words and numbers that belong to the series.
func (m Marker) Lettering() Colour {
	if m == FilledCircle {
		return RustInk
	}
	return m.Colour()
}

const markerR = 1.15 // mm

// draw draws a marker about a point in its own colour.
func (m Marker) draw(f *Figure, x, y float64) { m.drawIn(f, x, y, m.Colour()) }

func (m Marker) drawIn(f *Figure, x, y float64, c Colour) {
	r := markerR
	switch m {
	case FilledCircle:
		f.add(Circle{Point{x, y}, r, &c, Pen{}})
	case OpenSquare:
		w := Paper
		f.add(Rect{Box{x - r, y - r, 2 * r, 2 * r}, 0, &w, Pen{Colour: c, Width: 0.45}})
	case Cross:
		p := Pen{Colour: c, Width: 0.45}
		f.line(x-r, y-r, x+r, y+r, p)
		f.line(x-r, y+r, x+r, y-r, p)
	case Dot:
		f.add(Circle{Point{x, y}, 0.6, &c, Pen{}})
	case Diamond:
		r *= 1.2
		f.add(Polygon{[]Point{{x - r, y}, {x, y - r}, {x + r, y}, {x, y + r}}, &c, Pen{}})
	}
}

// interval draws an estimate with its limits on an axis; a limit that leaves
// the axis ends in an arrow, an estimate that does is not drawn (its text
// column carries it).
func (f *Figure) interval(a axis, y float64, est, lo, hi float64, p Pen) {
	if math.IsNaN(lo) || math.IsNaN(hi) || hi < a.lo || lo > a.hi {
		switch {
		case hi < a.lo:
			f.arrow(a.at(a.lo), y, -1, p)
		case lo > a.hi:
			f.arrow(a.at(a.hi), y, 1, p)
		}
		return
	}
	x1, x2 := a.at(math.Max(lo, a.lo)), a.at(math.Min(hi, a.hi))
	f.line(x1, y, x2, y, p)
	if lo < a.lo {
		f.arrow(x1, y, -1, p)
	}
	if hi > a.hi {
		f.arrow(x2, y, 1, p)
	}
}

// arrow head at x pointing left (-1) or right (1).
func (f *Figure) arrow(x, y, way float64, p Pen) {
	c := p.Colour
	f.add(Polygon{[]Point{{x + way*0.2, y}, {x - way*1.4, y - 0.8}, {x - way*1.4, y + 0.8}}, &c, Pen{}})
}

var (
	axisPen = Pen{Colour: RuleGrey, Width: 0.2}
	refPen  = Pen{Colour: Muted, Width: 0.25}
	meanPen = Pen{Colour: Muted, Width: 0.25, Dash: []float64{1.2, 0.9}}
	gridPen = Pen{Colour: PaleGrey, Width: 0.15}
)

var expectPen = Pen{Colour: Ink, Width: 0.45}

func hollow(f *Figure, x, y float64, c Colour) {
	w := Paper
	f.add(Circle{Point{x, y}, markerR, &w, Pen{Colour: c, Width: 0.35}})
}

func solid(f *Figure, x, y float64, c Colour) { f.add(Circle{Point{x, y}, markerR, &c, Pen{}}) }

// down draws an arrow head pointing down with its tip at y.
func (f *Figure) down(x, y float64, p Pen) {
	c := p.Colour
	f.add(Polygon{[]Point{{x, y + 0.2}, {x - 0.8, y - 1.4}, {x + 0.8, y - 1.4}}, &c, Pen{}})
}

// hang writes a right-aligned text and its footnote marks, all left of x.
func (f *Figure) hang(x, y float64, s, marks string) {
	f.text(x, y, s+marks, End, false)
}

// percentLabel writes a ratio as whole percent with a true minus.
func percentLabel(v float64) string {
	s := strconv.Itoa(int(math.Round(v * 100)))
	return strings.Replace(s, "-", "−", 1)
}
