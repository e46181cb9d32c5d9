package chart

import "math"

// DifferenceRow is one comparison on two lines: unadjusted above adjusted.
type DifferenceRow struct {
	Label, Detail        string // what was compared; the arms
	Raw, RawLow, RawHigh float64
	Adj, AdjLow, AdjHigh float64
	RawText, AdjText     string
	Verdict              string
	Bold                 bool   // a verdict of higher or lower
	Pale                 bool   // below what the measurement can detect: drawn grey
	Reading              string // one line under a bold row
	Marks                string
}

// Difference is the figure of style against style: differences in points of
// expression about a line of zero.
type Difference struct {
	Title  string
	Rows   []DifferenceRow
	Level  string // of the intervals, "95 %"
	Width  float64
	Lo, Hi float64 // of the scale, as ratios
	Left   string  // words at the ends of the scale
	Right  string
}

// DifferenceRange is a scale about zero that holds the rows where they stay
// within 60 points.
func DifferenceRange(rows []DifferenceRow) (lo, hi float64) {
	most := 0.1
	for _, r := range rows {
		for _, v := range []float64{r.Raw, r.RawLow, r.RawHigh, r.Adj, r.AdjLow, r.AdjHigh} {
			if math.Abs(v) <= 0.6 {
				most = math.Max(most, math.Abs(v))
			}
		}
	}
	t := Ticks(-most, most, 5)
	return t[0], t[len(t)-1]
}

// columns of the difference figure in mm.
const (
	diffPlotX    = 57.0
	diffTextW    = 31.0
	diffVerdictW = 31.0
)

// Height of one row in mm.
func (r DifferenceRow) Height(w float64) float64 {
	h := 2*RowHeight + 1.2
	return h + float64(len(r.reading(w)))*RowHeight
}

func (r DifferenceRow) reading(w float64) []string {
	if r.Reading == "" {
		return nil
	}
	return wrapWords(r.Reading, w-6, false)
}

// DifferenceFrame is the height of heads and scale in mm.
const DifferenceFrame = 2.5 * RowHeight

// Figure draws the rows.
func (d Difference) Figure(desc string) *Figure {
	f := &Figure{Title: d.Title, Desc: desc, W: d.Width, H: DifferenceFrame}
	a := axis{d.Lo, d.Hi, diffPlotX, d.Width - diffPlotX - diffTextW - diffVerdictW - 6}
	f.ink(d.Width-diffVerdictW-3, 3.2, "points ("+d.Level+" CI)", End, false, Muted)
	f.ink(d.Width-diffVerdictW+1, 3.2, "verdict", Start, false, Muted)
	f.legendDifference()
	f.ink(a.at(0)-1.5, 3.2, "← "+d.Left, End, false, Muted)
	f.ink(a.at(0)+1.5, 3.2, d.Right+" →", Start, false, Muted)
	y := 1.3 * RowHeight
	for _, r := range d.Rows {
		f.H += r.Height(d.Width)
		d.row(f, a, r, y)
		y += r.Height(d.Width)
	}
	d.scale(f, a, y)
	return f
}

func (f *Figure) legendDifference() {
	x, y := 0.0, 3.2
	hollow(f, x+markerR, y-1.1, Muted)
	x += 4
	x += f.ink(x, y, "unadjusted", Start, false, Muted) + 4
	solid(f, x+markerR, y-1.1, Muted)
	x += 4
	f.ink(x, y, "adjusted", Start, false, Muted)
}

func (d Difference) row(f *Figure, a axis, r DifferenceRow, y float64) {
	c, w := Muted, 0.3
	if r.Bold {
		c, w = Ink, 0.55
	}
	if r.Pale {
		c = PaleMark
	}
	bottom := y + 2*RowHeight + 1.2
	f.line(a.at(0), y-0.6, a.at(0), bottom-0.6, refPen)
	f.text(0, y+3.4, r.Label, Start, r.Bold)
	f.ink(0, y+RowHeight+3.2, r.Detail, Start, false, Muted)
	raw, adj := y+2.3, y+RowHeight+2.1
	f.interval(a, raw, r.Raw, r.RawLow, r.RawHigh, Pen{Colour: Muted, Width: 0.25})
	if a.inside(r.Raw) {
		hollow(f, a.at(r.Raw), raw, Muted)
	}
	f.interval(a, adj, r.Adj, r.AdjLow, r.AdjHigh, Pen{Colour: c, Width: w})
	if a.inside(r.Adj) {
		solid(f, a.at(r.Adj), adj, c)
	}
	x := d.Width - diffVerdictW - 3
	f.ink(x, y+3.4, r.RawText, End, false, Muted)
	f.text(x, y+RowHeight+3.2, r.AdjText, End, r.Bold)
	f.verdict(d.Width-diffVerdictW+1, y+RowHeight+3.2, r)
	for i, line := range r.reading(d.Width) {
		f.text(6, y+2*RowHeight+3.2+float64(i)*RowHeight, line, Start, false)
	}
}

// verdict sets the word with its footnote marks behind it, or above it where
// the column is too narrow for both.
func (f *Figure) verdict(x, y float64, r DifferenceRow) {
	if width(r.Verdict+r.Marks, r.Bold) <= diffVerdictW-1 {
		f.text(x, y, r.Verdict+r.Marks, Start, r.Bold)
		return
	}
	f.text(x, y-RowHeight, r.Marks, Start, false)
	f.text(x, y, r.Verdict, Start, r.Bold)
}

func (d Difference) scale(f *Figure, a axis, y float64) {
	f.line(a.x, y, a.x+a.w, y, axisPen)
	for _, t := range Ticks(a.lo, a.hi, 5) {
		if a.inside(t) {
			f.line(a.at(t), y, a.at(t), y+0.9, axisPen)
			f.ink(a.at(t), y+4.2, percentLabel(t), Middle, false, Muted)
		}
	}
}

func hollow(f *Figure, x, y float64, c Colour) {
	w := Paper
	f.add(Circle{Point{x, y}, markerR, &w, Pen{Colour: c, Width: 0.35}})
}

func solid(f *Figure, x, y float64, c Colour) { f.add(Circle{Point{x, y}, markerR, &c, Pen{}}) }
