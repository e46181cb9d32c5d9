package chart

// ChangeRow is one direction then and now, already worded.
type ChangeRow struct {
	ID, Title              string
	Move                   Move
	Name                   string
	Before, Now, Low, High float64 // shares of the plan; Low and High are of Now
	Difference, Limits     string  // "+4", "-2 to +9"
	Cases                  string  // "96, 20"
	Strong                 bool
	Notes                  []int
}

// Change sets a later part of the records against the earlier one, on the scale from 0 to
// 100 % of the plan.
type Change struct {
	Title, Desc   string
	Rows          []ChangeRow
	Earlier, Then string // names of the two parts
	Interval      string // "95 % CI"
	low           int    // levels of Tight
}

// Tight lowers the rows.
func (c Change) Tight(level int) Drawing {
	c.low += level
	return c
}

const (
	changeX    = 68.0 // mm: where the scale begins, and how far from the right it ends
	changeEnd  = 42.0
	changeRow  = 4.75
	beforeHalf = 1.5 // half the height of the mark of before
)

func (c Change) rowHeight() float64 { return max(changeRow-0.25*float64(c.low), 4) }

// Draw draws the rows under the names of the two parts.
func (c Change) Draw(w float64) *Figure {
	f := &Figure{Title: c.Title, Desc: c.Desc, W: w}
	a := axis{0, 1, changeX, w - changeEnd - changeX}
	for _, r := range c.Rows {
		if max(r.Before, r.Now, r.High) > 1 {
			a.hi = 1.25
		}
	}
	f.ink(changeX-3, 3.2, "cases", End, false, Muted)
	f.ink(w-24, 3.2, "points", End, false, Muted)
	f.ink(w, 3.2, c.Interval, End, false, Muted)
	f.line(changeX+0.5, 2.2-beforeHalf, changeX+0.5, 2.2+beforeHalf, beforePen)
	x := changeX + 2 + f.ink(changeX+2, 3.2, c.Earlier, Start, false, Muted) + 3.5
	f.interval(a, 2.2, a.back(x+2.5), a.back(x), a.back(x+5), nowPen)
	Diamond.drawIn(f, x+2.5, 2.2, Ink)
	f.ink(x+6.5, 3.2, c.Then, Start, false, Ink)
	y := RowHeight + 0.3
	bottom := y + float64(len(c.Rows))*c.rowHeight()
	f.shares(a, y-0.4, bottom)
	f.ink(0, bottom+3.6, "achieved, % of planned", Start, false, Muted)
	for _, r := range c.Rows {
		f.key(r.ID, r.Title, func(f *Figure) { c.row(f, a, r, y, w) })
		y += c.rowHeight()
	}
	f.H = y + RowHeight
	return f
}

var (
	beforePen = Pen{Colour: Muted, Width: 0.7}
	nowPen    = Pen{Colour: Ink, Width: 0.5}
)

// back is the value that stands at a place of the scale.
func (a axis) back(x float64) float64 { return a.lo + (x-a.x)/a.w*(a.hi-a.lo) }

func (c Change) row(f *Figure, a axis, r ChangeRow, y, w float64) {
	base, mid := y+3.4, y+2.3
	ink := Muted
	if r.Strong {
		ink = Ink
	}
	high := min(pictoH, c.rowHeight()-0.25)
	f.picto(r.Move, 0, mid-high/2+0.1, high, ink)
	f.add(Text{At: Point{nameX, base}, Text: r.Name, Bold: r.Strong, Colour: ink, Size: TextSize, Notes: r.Notes})
	f.ink(changeX-3, base, r.Cases, End, false, Muted)
	f.line(a.hold(r.Before), mid-beforeHalf, a.hold(r.Before), mid+beforeHalf, beforePen)
	f.interval(a, mid, r.Now, r.Low, r.High, nowPen)
	if a.inside(r.Now) {
		Diamond.drawIn(f, a.at(r.Now), mid, Ink)
	}
	f.ink(w-24, base, r.Difference, End, r.Strong, ink)
	f.ink(w, base, r.Limits, End, false, ink)
}
