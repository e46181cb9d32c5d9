package chart

import "math"

// CourseBar is one course on the time axis of a case; months count from its start.
type CourseBar struct {
	Label, Note  string
	From, Length float64 // Length 0: not known
	Measured     bool
}

// Timeline shows the courses of a case, one line each.
type Timeline struct {
	Title string
	Bars  []CourseBar
	Width float64
	Close bool // lines as low as can be read
}

// lead is the height of a line in mm.
func (t Timeline) lead() float64 {
	if t.Close {
		return 3.6
	}
	return RowHeight
}

const timeX = 34.0

// Figure draws the timeline.
func (t Timeline) Figure(desc string) *Figure {
	f := &Figure{Title: t.Title, Desc: desc, W: t.Width, H: float64(len(t.Bars))*t.lead() + 1.3*RowHeight}
	months := 6.0
	for _, b := range t.Bars {
		months = math.Max(months, b.From+math.Max(1, b.Length))
	}
	ticks := Ticks(0, months, 7)
	a := axis{0, ticks[len(ticks)-1], timeX, t.Width - timeX - 62}
	y := 0.2 * RowHeight
	for _, b := range t.Bars {
		t.bar(f, a, b, y)
		y += t.lead()
	}
	f.line(a.x, y, a.x+a.w, y, axisPen)
	for _, v := range ticks {
		f.line(a.at(v), y, a.at(v), y+0.9, axisPen)
		f.ink(a.at(v), y+4.2, tickLabel(v), Middle, false, Muted)
	}
	f.ink(a.x-6, y+4.2, "months", End, false, Muted)
	return f
}

// bar is solid where outcomes were measured, outlined where not, dashed where
// its length is not known.
func (t Timeline) bar(f *Figure, a axis, b CourseBar, y float64) {
	f.text(0, y+3.4, b.Label, Start, false)
	box := Box{a.at(b.From), y + 0.4, a.at(b.From+math.Max(1, b.Length)) - a.at(b.From) - 0.4, t.lead() - 0.9}
	pen, fill := Pen{Colour: Blue, Width: 0.35}, Blue
	switch {
	case b.Length == 0:
		pen.Dash = []float64{1, 0.8}
		f.add(Rect{Box: box, Radius: 0.6, Pen: pen})
	case b.Measured:
		f.add(Rect{Box: box, Radius: 0.6, Fill: &fill, Pen: pen})
	default:
		f.add(Rect{Box: box, Radius: 0.6, Pen: pen})
	}
	f.ink(t.Width-60, y+3.4, fitText(b.Note, 60, false), Start, false, Muted)
}

// CaseRow is one movement of a case against the practice's own results, already
// worded; percentiles are NaN where there is no band.
type CaseRow struct {
	Tooth, Movement, Planned, Achieved, Short string
	Flags                                     string
	Marker                                    Marker
	Value, P10, P25, P50, P75, P90            float64
	Bold                                      bool // outside tolerance
}

// CaseGroup is the rows of one course.
type CaseGroup struct {
	Title string
	Rows  []CaseRow
}

// CaseRows is the table of a case with a strip a row.
type CaseRows struct {
	Title  string
	Groups []CaseGroup
	Width  float64
	Lo, Hi float64
	Foot   string // what is not shown
}

// columns of the rows in mm.
const (
	caseMoveX    = 11.0
	casePlanX    = 56.5 // right edge
	caseGotX     = 73.5
	caseShortX   = 91.0
	caseStripX   = 94.5
	caseStripW   = 30.0
	caseFlagX    = caseStripX + caseStripW + 2.5
	caseRangeLow = -0.25
)

// CaseRange is a scale that holds values and bands between -25 % and 150 %.
func CaseRange(groups []CaseGroup) (lo, hi float64) {
	hi = 1
	for _, g := range groups {
		for _, r := range g.Rows {
			for _, v := range []float64{r.Value, r.P10, r.P90} {
				if v >= caseRangeLow && v <= 1.5 {
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
			}
		}
	}
	t := Ticks(lo, hi, 4)
	return t[0], t[len(t)-1]
}

// Heights in mm: rows are lower than elsewhere, for a case is to stand on one
// page; the frame holds heads and scale.
const (
	CaseRowHeight = 3.5
	CaseGroupHead = 1.25 * CaseRowHeight
	CaseFrame     = 2.4 * RowHeight
)

// height of a group in mm.
func (g CaseGroup) height() float64 { return CaseGroupHead + float64(len(g.Rows))*CaseRowHeight }

// Height of the figure in mm.
func (c CaseRows) Height() float64 {
	h := CaseFrame
	for _, g := range c.Groups {
		h += g.height()
	}
	if c.Foot != "" {
		h += RowHeight
	}
	return h
}

// Figure draws the rows.
func (c CaseRows) Figure(desc string) *Figure {
	f := &Figure{Title: c.Title, Desc: desc, W: c.Width, H: c.Height()}
	for _, h := range []struct {
		x    float64
		text string
	}{{casePlanX, "planned"}, {caseGotX, "achieved"}, {caseShortX, "short"}} {
		f.ink(h.x, 3.2, h.text, End, false, Muted)
	}
	f.ink(0, 3.2, "tooth", Start, false, Muted)
	f.ink(caseMoveX, 3.2, "movement", Start, false, Muted)
	f.ink(caseStripX+caseStripW/2, 3.2, "achieved, % of planned", Middle, false, Muted)
	a := axis{c.Lo, c.Hi, caseStripX, caseStripW}
	y := 1.2 * RowHeight
	for _, g := range c.Groups {
		f.text(0, y+3.4, g.Title, Start, true)
		y += 1.05 * CaseRowHeight
		for _, r := range g.Rows {
			c.row(f, a, r, y)
			y += CaseRowHeight
		}
		y += 0.2 * CaseRowHeight
	}
	f.line(a.x, y, a.x+a.w, y, axisPen)
	for _, v := range Ticks(a.lo, a.hi, 4) {
		if a.inside(v) {
			f.line(a.at(v), y, a.at(v), y+0.9, axisPen)
			f.ink(a.at(v), y+4.2, percentLabel(v), Middle, false, Muted)
		}
	}
	f.ink(0, f.H-1, c.Foot, Start, false, Muted)
	return f
}

var (
	wideBand   = Pen{Colour: PaleGrey, Width: 2.2}
	middleBand = Pen{Colour: RuleGrey, Width: 2.2}
)

func (c CaseRows) row(f *Figure, a axis, r CaseRow, y float64) {
	mid := y + 2.2
	f.text(0, y+3.4, r.Tooth, Start, false)
	f.text(caseMoveX, y+3.4, fitText(r.Movement, casePlanX-caseMoveX-13, false), Start, false)
	f.text(casePlanX, y+3.4, r.Planned, End, false)
	f.text(caseGotX, y+3.4, r.Achieved, End, false)
	f.text(caseShortX, y+3.4, r.Short, End, r.Bold)
	c.band(f, a, mid, r.P10, r.P90, wideBand)
	c.band(f, a, mid, r.P25, r.P75, middleBand)
	if a.inside(r.P50) {
		f.line(a.at(r.P50), mid-1.2, a.at(r.P50), mid+1.2, Pen{Colour: Muted, Width: 0.3})
	}
	p := Pen{Colour: r.Marker.Colour()}
	switch {
	case a.inside(r.Value):
		r.Marker.draw(f, a.at(r.Value), mid)
	case r.Value < a.lo:
		f.arrow(a.at(a.lo)+1.5, mid, -1, p)
	case r.Value > a.hi:
		f.arrow(a.at(a.hi)-1.5, mid, 1, p)
	}
	f.ink(caseFlagX, y+3.4, fitText(r.Flags, c.Width-caseFlagX, false), Start, false, Muted)
}

// band draws a range of percentiles, cut off at the ends of the scale.
func (c CaseRows) band(f *Figure, a axis, mid, lo, hi float64, p Pen) {
	if math.IsNaN(lo) || math.IsNaN(hi) || hi < a.lo || lo > a.hi {
		return
	}
	f.line(a.at(math.Max(lo, a.lo)), mid, a.at(math.Min(hi, a.hi)), mid, p)
}
