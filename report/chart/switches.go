package chart

import "math"

// SwitchRow is one way from the course that fell short to the next, already worded.
type SwitchRow struct {
	ID, Title          string
	Name, Cases        string
	From, To           float64
	FromText, ToText   string
	Lo, Hi             float64 // where the next would end without any effect; NaN for none
	Mark               Marker  // of the style of the next course
	Kept               bool    // what the other rows of the group are set against
	Difference, Limits string  // against the one that kept
	Strong             bool    // clear
	Notes              []int
}

// SwitchGroup is the ways from one style along one axis: kept first, then each switch.
type SwitchGroup struct {
	Title, Under string // the axis; the style it had
	Rows         []SwitchRow
}

// Switches sets movements that fell short and kept their style beside those that
// switched, a row each on one scale: no two lines can cross, and a number stands on the
// outer side of its own mark.
type Switches struct {
	Title, Desc string
	Groups      []SwitchGroup
	Interval    string     // "95 % CI"
	low         int        // levels of Tight
	held        [2]float64 // ends of the scale, where it is set
}

// Tight lowers the rows.
func (s Switches) Tight(level int) Drawing {
	s.low += level
	return s
}

// Columns in mm: those on the left begin or end here, those on the right so far from the edge.
const (
	switchName   = 40.0
	switchCases  = 82.0
	switchPlot   = 90.0
	switchEnd    = 42.0
	switchPoints = 22.0
	switchRow    = 4.9
	expectHigh   = 0.7
)

func (s Switches) rowHeight() float64 { return max(switchRow-0.15*float64(s.low), 4.4) }

func (s Switches) gap() float64 { return max(2-0.4*float64(s.low), 1) }

// Parts counts the groups.
func (s Switches) Parts() int { return len(s.Groups) }

// Part gives the groups from..to-1 on the scale of all.
func (s Switches) Part(from, to int) Drawing {
	all := s.scale(0)
	s.Groups, s.held = s.Groups[from:to], [2]float64{all.lo, all.hi}
	return s
}

// scale holds every value and what was expected, in quarters of the plan.
func (s Switches) scale(w float64) axis {
	a := axis{0, 0.5, switchPlot, w - switchEnd - switchPlot}
	if s.held != [2]float64{} {
		a.lo, a.hi = s.held[0], s.held[1]
		return a
	}
	for _, g := range s.Groups {
		for _, r := range g.Rows {
			for _, v := range []float64{r.From, r.To, r.Lo, r.Hi} {
				if v < a.lo {
					a.lo = -0.25
				}
				for v > a.hi && a.hi < 1.25 {
					a.hi += 0.25
				}
			}
		}
	}
	return a
}

// Draw draws the groups under the heads of the columns.
func (s Switches) Draw(w float64) *Figure {
	f := &Figure{Title: s.Title, Desc: s.Desc, W: w}
	a := s.scale(w)
	f.ink(switchCases, 3.2, "cases", End, false, Muted)
	x := a.x
	f.line(x, 2.2-beforeHalf, x, 2.2+beforeHalf, beforePen)
	x += 1.6 + f.ink(x+1.6, 3.2, "fell short", Start, false, Muted)
	f.line(x+1.5, 2.2, x+6.5, 2.2, beforePen)
	f.ink(x+7.5, 3.2, "next", Start, false, Muted)
	f.ink(w-switchPoints, 3.2, "points", End, false, Muted)
	f.ink(w, 3.2, s.Interval, End, false, Muted)
	y := RowHeight + 0.4
	high := y - s.gap()
	for _, g := range s.Groups {
		high += s.gap() + float64(len(g.Rows))*s.rowHeight()
	}
	f.shares(a, y-0.4, high+0.3)
	for i, g := range s.Groups {
		if i > 0 {
			y += s.gap()
		}
		f.ink(0, y+3.4, g.Title, Start, false, Ink)
		f.ink(0, y+s.rowHeight()+3.4, g.Under, Start, false, Muted)
		for _, r := range g.Rows {
			f.key(r.ID, r.Title, func(f *Figure) { s.row(f, a, r, y, w) })
			y += s.rowHeight()
		}
	}
	f.ink(0, y+3.9, "achieved, % of planned", Start, false, Muted)
	f.H = y + RowHeight + 0.3
	return f
}

func (s Switches) row(f *Figure, a axis, r SwitchRow, y, w float64) {
	base, mid := y+3.4, y+2.2
	ink, pen := Ink, Pen{Colour: Ink, Width: 0.6}
	if r.Kept {
		ink, pen = Muted, Pen{Colour: Muted, Width: 0.4}
	}
	f.add(Text{At: Point{switchName, base}, Text: r.Name, Bold: r.Strong, Colour: ink, Size: TextSize, Notes: r.Notes})
	f.ink(switchCases, base, r.Cases, End, false, Muted)
	if !math.IsNaN(r.Lo) && !math.IsNaN(r.Hi) {
		lo, hi := a.hold(r.Lo), a.hold(r.Hi)
		lo, hi = min(lo, (lo+hi)/2-expectHigh/2), max(hi, (lo+hi)/2+expectHigh/2)
		c := PaleMark
		f.add(Rect{Box{lo, y + s.rowHeight() - expectHigh - 0.25, hi - lo, expectHigh}, 0, &c, Pen{}})
	}
	from, to := a.hold(r.From), a.hold(r.To)
	f.line(from, mid, to, mid, pen)
	f.line(from, mid-beforeHalf, from, mid+beforeHalf, Pen{Colour: ink, Width: beforePen.Width})
	r.Mark.draw(f, to, mid)
	left, right := End, Start // of the first number, of the second
	if r.To < r.From {
		left, right = Start, End
	}
	put := func(x float64, s string, an Anchor, c Colour) {
		dx := markerR + 0.9
		if an == End {
			dx = -dx
		}
		f.backed(x+dx, base, s, an, false, c)
	}
	first := from
	if covered := math.Abs(from-to) < markerR; covered { // then both numbers stand clear of both marks
		first = to
	}
	put(first, r.FromText+off(a, r.From), left, Muted)
	put(to, r.ToText+off(a, r.To), right, r.Mark.Lettering())
	f.ink(w-switchPoints, base, r.Difference, End, r.Strong, ink)
	f.ink(w, base, r.Limits, End, false, ink)
}
