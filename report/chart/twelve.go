package chart

// TwelveRow is the expression of one direction with its interval, already worded.
type TwelveRow struct {
	ID, Title      string
	Move           Move
	Name           string
	Est, Low, High float64 // NaN where not estimated
	Text           string  // "52 (44 to 60)"
	Patient        string  // the same of the average patient, where it differs
	Outside        string  // share outside tolerance
	N              string  // "38 / 61"
	Notes          []int
}

// Twelve is a forest of directions on the scale from 0 to 100 % of the plan,
// stretched where an interval needs it.
type Twelve struct {
	Title, Desc string
	Rows        []TwelveRow
	Interval    string // "95 % CI"
	low         int    // levels of Tight
}

// Tight lowers the rows.
func (t Twelve) Tight(level int) Drawing {
	t.low += level
	return t
}

func (t Twelve) rowHeight() float64 { return max(twelveRow-0.25*float64(t.low), 4) }

const (
	twelveNEnd   = 0.0
	twelveOutEnd = 21.0
	twelveCIEnd  = 39.0
	twelveX      = 48.0
	twelvePlot   = 65.0
	twelveMore   = 13.0 // for the column of the average patient
	twelveRow    = 4.5
)

// more is the room that the average patient takes, where a row has one.
func (t Twelve) more() float64 {
	for _, r := range t.Rows {
		if r.Patient != "" {
			return twelveMore
		}
	}
	return 0
}

// Draw draws the rows.
func (t Twelve) Draw(w float64) *Figure {
	f := &Figure{Title: t.Title, Desc: t.Desc, W: w}
	more := t.more()
	a := axis{t.from(), t.high(), twelveX, w - twelvePlot - more - twelveX}
	head := func(end float64, over, under string) {
		f.ink(w-end, 3.2, over, End, false, Muted)
		f.ink(w-end, 3.2+RowHeight-0.5, under, End, false, Muted)
	}
	head(twelveCIEnd+more, "achieved", "% ("+t.Interval+")")
	if more > 0 {
		head(twelveCIEnd, "by", "patient")
	}
	head(twelveOutEnd, "outside", "tolerance")
	head(twelveNEnd, "cases /", "movements")
	y := 2*RowHeight + 0.3
	bottom := y + float64(len(t.Rows))*t.rowHeight()
	f.shares(a, y-0.6, bottom)
	for _, r := range t.Rows {
		f.key(r.ID, r.Title, func(f *Figure) { t.row(f, a, r, y, w) })
		y += t.rowHeight()
	}
	f.ink(0, y+3.6, "achieved, % of planned", Start, false, Muted)
	f.H = y + RowHeight
	return f
}

func (t Twelve) row(f *Figure, a axis, r TwelveRow, y, w float64) {
	base, mid := y+3.4, y+2.3
	high := min(pictoH, t.rowHeight()-0.25)
	f.picto(r.Move, 0, mid-high/2+0.1, high, Muted)
	f.add(Text{At: Point{nameX, base}, Text: r.Name, Colour: Ink, Size: TextSize, Notes: r.Notes})
	f.interval(a, mid, r.Est, r.Low, r.High, Pen{Colour: Ink, Width: 0.5})
	if a.inside(r.Est) {
		f.estimate(a.at(r.Est), mid, r.Low < r.High)
	}
	f.text(w-twelveCIEnd-t.more(), base, r.Text, End, false)
	f.ink(w-twelveCIEnd, base, r.Patient, End, false, Muted)
	f.ink(w-twelveOutEnd, base, r.Outside, End, false, Muted)
	f.ink(w-twelveNEnd, base, r.N, End, false, Muted)
}

// estimate is a mark small enough to leave its interval seen, hollow where it has none.
func (f *Figure) estimate(x, y float64, known bool) {
	const r = 1.1
	fill := Ink
	if !known {
		fill = Paper
	}
	f.add(Polygon{[]Point{{x - r, y}, {x, y - r}, {x + r, y}, {x, y + r}}, &fill, Pen{Colour: Ink, Width: 0.3}})
}

// from and high are 0 and 100 % unless an estimate or an interval lies beyond:
// then a quarter more; what lies further out gets arrows.
func (t Twelve) from() float64 {
	for _, r := range t.Rows {
		if r.Est < 0 || r.Low < 0 {
			return -0.25
		}
	}
	return 0
}

func (t Twelve) high() float64 {
	for _, r := range t.Rows {
		if r.Est > 1 || r.High > 1 {
			return 1.25
		}
	}
	return 1
}

// shares draws the lines of every quarter of the plan, with their labels below.
func (f *Figure) shares(a axis, top, bottom float64) {
	for v := a.lo; v <= a.hi+1e-9; v += 0.25 {
		p := gridPen
		if v == 0 || v == 1 {
			p = axisPen
		}
		f.line(a.at(v), top, a.at(v), bottom, p)
		f.ink(a.at(v), bottom+3.6, percentLabel(v), Middle, false, Muted)
	}
}
