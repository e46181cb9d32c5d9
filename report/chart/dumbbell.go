package chart

import "math"

// DumbbellRow is one path from a course to the next: two expressions and where
// the second would be expected without any effect, already worded.
type DumbbellRow struct {
	Label                 string
	From, To              Marker
	First, Next, Expected float64 // NaN where not estimated
	N                     string  // cases / movements
	Text                  string  // "38 to 45"
	Change                string  // change with its interval
	Marks                 string
}

// DumbbellPanel is one axis of movement.
type DumbbellPanel struct {
	Title string
	Rows  []DumbbellRow
}

// Dumbbell is the figure of first and next course.
type Dumbbell struct {
	Title  string
	Level  string
	Panels []DumbbellPanel
	Width  float64
	Lo, Hi float64 // of the scale, as ratios
}

// DumbbellRange is a scale that holds the estimates within -25 % to 150 %.
func DumbbellRange(panels []DumbbellPanel) (lo, hi float64) {
	hi = 0.5
	for _, p := range panels {
		for _, r := range p.Rows {
			for _, v := range []float64{r.First, r.Next, r.Expected} {
				if v >= -0.25 && v <= 1.5 {
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
			}
		}
	}
	t := Ticks(lo, hi, 5)
	return t[0], t[len(t)-1]
}

// columns of the dumbbell figure in mm.
const (
	dumbPlotX   = 66.0
	dumbNW      = 15.0
	dumbTextW   = 15.0
	dumbChangeW = 27.0
)

// Height of a panel in mm.
func (p DumbbellPanel) Height() float64 { return (float64(len(p.Rows)) + 1.25) * RowHeight }

// DumbbellFrame is the height of heads and scale in mm.
const DumbbellFrame = 4.4 * RowHeight

// Figure draws the panels.
func (d Dumbbell) Figure(desc string) *Figure {
	f := &Figure{Title: d.Title, Desc: desc, W: d.Width, H: DumbbellFrame}
	a := axis{d.Lo, d.Hi, dumbPlotX, d.Width - dumbPlotX - dumbNW - dumbTextW - dumbChangeW - 5}
	nx := d.Width - dumbTextW - dumbChangeW - 2
	f.ink(nx, 3.2, "cases /", End, false, Muted)
	f.ink(nx, 3.2+RowHeight, "mvts", End, false, Muted)
	f.ink(nx+dumbTextW, 3.2, "first to", End, false, Muted)
	f.ink(nx+dumbTextW, 3.2+RowHeight, "next, %", End, false, Muted)
	f.ink(d.Width, 3.2, "change, points", End, false, Muted)
	f.ink(d.Width, 3.2+RowHeight, "("+d.Level+" CI)", End, false, Muted)
	d.legend(f)
	y := 2.3 * RowHeight
	for _, p := range d.Panels {
		d.panel(f, p, a, y)
		f.H += p.Height()
		y += p.Height()
	}
	f.line(a.x, y, a.x+a.w, y, axisPen)
	for _, t := range Ticks(a.lo, a.hi, 5) {
		if a.inside(t) {
			f.line(a.at(t), y, a.at(t), y+0.9, axisPen)
			f.ink(a.at(t), y+4.2, percentLabel(t), Middle, false, Muted)
		}
	}
	f.ink(a.x-4, y+4.2, "achieved, % of planned", End, false, Muted)
	return f
}

// legend explains the marks: the next course has the shape of its style.
func (d Dumbbell) legend(f *Figure) {
	x, y := 0.0, 3.2
	hollow(f, x+markerR, y-1.1, Ink)
	x += 4 + f.ink(x+4, y, "course that fell short", Start, false, Muted) + 4
	f.line(x+1.2, y-2.4, x+1.2, y+0.2, expectPen)
	f.ink(x+4, y, "next course, expected without any effect", Start, false, Muted)
	x, y = 0, y+RowHeight
	x += f.ink(x, y, "next course:", Start, false, Muted) + 2.5
	for _, s := range []struct {
		m    Marker
		name string
	}{{Cross, "no feature"}, {OpenSquare, "software-suggested"}, {FilledCircle, "clinician-designed"}} {
		s.m.draw(f, x+markerR, y-1.1)
		x += 4 + f.ink(x+4, y, s.name, Start, false, Muted) + 3
	}
}

var expectPen = Pen{Colour: Ink, Width: 0.45}

func (d Dumbbell) panel(f *Figure, p DumbbellPanel, a axis, y float64) {
	f.text(0, y+3.4, p.Title, Start, true)
	y += RowHeight
	if a.inside(1) {
		f.line(a.at(1), y, a.at(1), y+float64(len(p.Rows))*RowHeight, refPen)
	}
	nx := d.Width - dumbTextW - dumbChangeW - 2
	for _, r := range p.Rows {
		mid := y + 2.3
		f.text(0, y+3.4, r.Label, Start, false)
		if a.inside(r.First) && a.inside(r.Next) {
			f.line(a.at(r.First), mid, a.at(r.Next), mid, Pen{Colour: r.To.Colour(), Width: 0.4})
		}
		if a.inside(r.Expected) {
			f.line(a.at(r.Expected), mid-1.6, a.at(r.Expected), mid+1.6, expectPen)
		}
		if a.inside(r.First) {
			hollow(f, a.at(r.First), mid, r.From.Colour())
		}
		if a.inside(r.Next) {
			r.To.draw(f, a.at(r.Next), mid)
		}
		f.ink(nx, y+3.4, r.N, End, false, Muted)
		f.text(nx+dumbTextW, y+3.4, r.Text, End, false)
		f.hang(d.Width, y+3.4, r.Change, r.Marks)
		y += RowHeight
	}
}
