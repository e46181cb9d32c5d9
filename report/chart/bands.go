package chart

import "math"

// BandRow is what plans of one size came to: the plan, what is expected of it
// and the band for single movements, already worded.
type BandRow struct {
	ID                           string // where it can be pointed at
	Label, Detail                string
	Planned, Expected, Low, High float64
	N, Text, Held, Marks         string
}

// Bands is the figure of expected results in one unit.
type Bands struct {
	Title, Unit string // unit of the scale
	Share       string // "80 of 100"
	Rows        []BandRow
	Width       float64
	Lo, Hi      float64
}

// BandRange is a scale that holds all rows.
func BandRange(rows []BandRow) (lo, hi float64) {
	hi = 0.1
	for _, r := range rows {
		lo, hi = math.Min(lo, r.Low), math.Max(hi, math.Max(r.High, r.Planned))
	}
	t := Ticks(lo, hi, 6)
	return t[0], t[len(t)-1]
}

const (
	bandPlotX = 58.0
	bandNW    = 16.0
	bandTextW = 28.0
	bandHeldW = 15.0
)

// BandFrame is the height of heads and scale in mm.
const BandFrame = 3.4 * RowHeight

// Figure draws the rows.
func (b Bands) Figure(desc string) *Figure {
	f := &Figure{Title: b.Title, Desc: desc, W: b.Width, H: BandFrame + float64(len(b.Rows))*RowHeight}
	a := axis{b.Lo, b.Hi, bandPlotX, b.Width - bandPlotX - bandNW - bandTextW - bandHeldW - 6}
	nx := b.Width - bandTextW - bandHeldW - 3
	f.ink(nx, 3.2, "cases /", End, false, Muted)
	f.ink(nx, 3.2+RowHeight, "mvts", End, false, Muted)
	f.ink(nx+bandTextW+1, 3.2, "expected", End, false, Muted)
	f.ink(nx+bandTextW+1, 3.2+RowHeight, "("+b.Share+")", End, false, Muted)
	f.ink(b.Width, 3.2, "band held,", End, false, Muted)
	f.ink(b.Width, 3.2+RowHeight, "checked", End, false, Muted)
	b.legend(f)
	y := 2.1 * RowHeight
	if a.lo < 0 {
		f.line(a.at(0), y, a.at(0), y+float64(len(b.Rows))*RowHeight, gridPen)
	}
	for _, r := range b.Rows {
		f.maybeKey(r.ID, r.Label+", "+r.Detail, func(f *Figure) { b.row(f, a, r, y, nx) })
		y += RowHeight
	}
	f.line(a.x, y, a.x+a.w, y, axisPen)
	for _, t := range Ticks(a.lo, a.hi, 6) {
		if a.inside(t) {
			f.line(a.at(t), y, a.at(t), y+0.9, axisPen)
			f.ink(a.at(t), y+4.2, tickLabel(t), Middle, false, Muted)
		}
	}
	f.ink(a.x-4, y+4.2, "achieved, "+b.Unit, End, false, Muted)
	return f
}

var bandPen = Pen{Colour: Blue, Width: 1.2}

func (b Bands) legend(f *Figure) {
	y := 3.2
	f.line(0, y-1.1, 5, y-1.1, bandPen)
	x := 7 + f.ink(7, y, b.Share, Start, false, Muted) + 4
	solid(f, x+markerR, y-1.1, Ink)
	f.ink(x+4, y, "expected", Start, false, Muted)
	y += RowHeight
	f.line(1.2, y-2.4, 1.2, y+0.2, expectPen)
	f.ink(7, y, "planned", Start, false, Muted)
}

func (b Bands) row(f *Figure, a axis, r BandRow, y, nx float64) {
	mid := y + 2.3
	w := f.text(0, y+3.4, r.Label, Start, false)
	f.ink(w+1.5, y+3.4, r.Detail, Start, false, Muted)
	f.line(a.at(math.Max(r.Low, a.lo)), mid, a.at(math.Min(r.High, a.hi)), mid, bandPen)
	f.line(a.at(r.Planned), mid-1.6, a.at(r.Planned), mid+1.6, expectPen)
	solid(f, a.at(r.Expected), mid, Ink)
	f.ink(nx, y+3.4, r.N, End, false, Muted)
	f.text(nx+bandTextW+1, y+3.4, r.Text, End, false)
	f.hang(b.Width, y+3.4, r.Held, r.Marks)
}
