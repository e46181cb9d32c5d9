package chart

import "math"

// DotRow is one movement on the scale of what was achieved of the plan, already
// worded. With Pair, two styles stand at Software and Clinician; without, all
// teeth stand at Pooled, and Reason says why the styles are not compared.
type DotRow struct {
	ID, Title           string // stable; in words, for who points at it
	Move                Move
	Name                string
	Pair, Strong        bool
	Software, Clinician float64
	Pooled              float64 // NaN where there is none to show
	Low, High           float64 // its interval; NaN where there is none
	SoftwareText        string
	ClinicianText       string
	PooledText          string
	Difference, Limits  string // "+14", "+9 to +20"
	Amount              string // the same difference in mm or degrees
	Reason              string
	Patients            string // with both styles
	Notes               []int
}

// DotGroup is the rows under one head.
type DotGroup struct {
	Title string
	Rows  []DotRow
}

// Dots sets movements under each other on one scale from 0 to 100 % of the plan.
type Dots struct {
	Title, Desc         string
	Groups              []DotGroup
	Software, Clinician string // names of the styles, written at the first pair
	Interval            string // head of the column of limits, "95 % CI"
	RowHeight           float64
	low                 int // levels of Tight
}

// Columns of the rows in mm: names from nameX, the scale from dotX, then three
// columns that end at these distances from the right edge.
const (
	nameX     = 9.5
	dotX      = 57.0
	amountEnd = 0.0
	limitsEnd = 18.0
	pointsEnd = 39.0
	plotEnd   = 60.0

	patientsEnd = 51.0
)

const (
	dotRow    = 5.6  // mm
	nameLimit = 40.0 // a group head narrower than this leaves room for the names
)

func (d Dots) step() float64 {
	if d.RowHeight > 0 {
		return d.RowHeight
	}
	return dotRow
}

// head is the height of the head of a group.
func (d Dots) head() float64 { return math.Max(RowHeight+0.4-0.2*float64(d.low), 3.6) }

// Parts counts the rows.
func (d Dots) Parts() int {
	n := 0
	for _, g := range d.Groups {
		n += len(g.Rows)
	}
	return n
}

// Tight lowers the rows and the heads of groups.
func (d Dots) Tight(level int) Drawing {
	d.low += level
	d.RowHeight = math.Max(d.step()-0.35*float64(level), 3.4)
	return d
}

// slice gives the rows from..to-1 in their groups.
func (d Dots) slice(from, to int) Dots {
	out, at := d, 0
	out.Groups = nil
	for _, g := range d.Groups {
		lo, hi := max(from-at, 0), min(to-at, len(g.Rows))
		if lo < hi {
			out.Groups = append(out.Groups, DotGroup{g.Title, g.Rows[lo:hi]})
		}
		at += len(g.Rows)
	}
	return out
}

// Part gives the rows from..to-1 on the same scale.
func (d Dots) Part(from, to int) Drawing { return d.slice(from, to) }

// Draw draws the rows with the scale above and below them.
func (d Dots) Draw(w float64) *Figure {
	f := &Figure{Title: d.Title, Desc: d.Desc, W: w}
	a := axis{0, 1, dotX, w - plotEnd - dotX}
	y := 0.0
	if len(d.Groups) == 0 || d.Groups[0].Title == "" {
		y = RowHeight
	}
	named := false
	for i, g := range d.Groups {
		if g.Title != "" {
			if i > 0 {
				y += math.Max(1.6-0.2*float64(d.low), 0.5)
			}
			f.ink(0, y+3.4, fitText(g.Title, w, false), Start, false, Muted)
			y += d.head()
		}
		if len(g.Rows) > 0 && g.Rows[0].Pair && !named {
			line := y
			if beside := i == 0 && y > 0 && width(g.Title, false) < nameLimit; beside {
				line = y - d.head()
			} else {
				y += RowHeight
			}
			d.names(f, a, g.Rows[0], line)
			d.heads(f, w, line)
			named = true
		}
		f.add(gridLines(a, y-0.2, y+float64(len(g.Rows))*d.step())...)
		for _, r := range g.Rows {
			f.key(r.ID, r.Title, func(f *Figure) { d.row(f, a, r, y, w) })
			y += d.step()
		}
	}
	for _, v := range quarters {
		s := percentLabel(v)
		f.ink(a.at(v)-width(s, false)/2, y+3.6, s+endMark(v), Start, false, Muted)
	}
	f.H = y + RowHeight
	return f
}

var quarters = []float64{0, 0.25, 0.5, 0.75, 1}

func endMark(v float64) string {
	if v == 1 {
		return "\u00a0% of the plan"
	}
	return ""
}

func gridLines(a axis, top, bottom float64) (out []Item) {
	for _, v := range quarters {
		p := gridPen
		if v == 0 || v == 1 {
			p = axisPen
		}
		out = append(out, Line{Point{a.at(v), top}, Point{a.at(v), bottom}, p})
	}
	return out
}

// heads of the columns of numbers, beside the names of the styles.
func (d Dots) heads(f *Figure, w, y float64) {
	f.ink(patientsEnd, y+3.2, "n", End, false, Muted)
	f.ink(w-pointsEnd, y+3.2, "points", End, false, Muted)
	f.ink(w-limitsEnd, y+3.2, d.Interval, End, false, Muted)
	f.ink(w-amountEnd, y+3.2, "in mm or °", End, false, Muted)
}

// names writes the two styles with their marks above the first pair, apart from
// each other and in the same order in every report.
func (d Dots) names(f *Figure, a axis, r DotRow, y float64) {
	left, right := d.Software, d.Clinician
	lm, rm := OpenSquare, FilledCircle
	mid := (a.hold(r.Software) + a.hold(r.Clinician)) / 2
	lw, rw := width(left, true), width(right, true)
	const mark = 3.2 // mm a mark takes before its name
	mid = math.Max(math.Min(mid, a.x+a.w-rw-mark+4), patientsEnd+2.6+lw+mark)
	lm.draw(f, mid-1.5-lw-mark+1.2, y+2)
	f.ink(mid-1.5, y+3.1, left, End, true, lm.Lettering())
	rm.draw(f, mid+1.5+1.2, y+2)
	f.ink(mid+1.5+mark, y+3.1, right, Start, true, rm.Lettering())
}

// hold maps a value that is kept on the scale.
func (a axis) hold(v float64) float64 { return a.at(math.Max(a.lo, math.Min(a.hi, v))) }

func (d Dots) row(f *Figure, a axis, r DotRow, y, w float64) {
	base, mid := y+3.5, y+2.6
	ink := Muted
	if r.Strong {
		ink = Ink
	}
	high := math.Min(pictoH, d.step()-0.25)
	f.picto(r.Move, 0, mid-high/2, high, ink)
	f.add(Text{At: Point{nameX, base}, Text: r.Name, Bold: r.Strong, Colour: ink, Size: TextSize, Notes: r.Notes})
	if !r.Pair {
		d.single(f, a, r, y, w)
		return
	}
	d.pair(f, a, r, y)
	if nameX+width(r.Name, r.Strong)+1 < patientsEnd-width(r.Patients, false) {
		f.ink(patientsEnd, base, r.Patients, End, false, Muted)
	}
	f.ink(w-pointsEnd, base, r.Difference, End, r.Strong, ink)
	f.ink(w-limitsEnd, base, r.Limits, End, false, ink)
	f.ink(w-amountEnd, base, r.Amount, End, false, ink)
}

// pair draws both styles, joined; the numbers stand outside, so that they never
// meet: the left one is that of the left mark, in the colour of its style. Marks
// that would cover each other move apart in height, and their numbers with them, each
// tied to its mark by a stroke at its height. A value off the scale stands at its end
// with an arrow.
func (d Dots) pair(f *Figure, a axis, r DotRow, y float64) {
	base, mid := y+3.5, y+2.6
	line, size := Pen{Colour: RuleGrey, Width: 0.5}, 0.95
	if r.Strong {
		line, size = Pen{Colour: Muted, Width: 1}, 1.35
	}
	xs, xc := a.hold(r.Software), a.hold(r.Clinician)
	up, aside := 0.0, 0.0
	tied := math.Abs(xs-xc) < 2*size
	if tied {
		up, aside = math.Min(0.85, d.step()/2-size-0.05), math.Min(0.8, (d.step()-3.4)/2)
	}
	f.line(xs, mid-up, xc, mid+up, line)
	white, blue, verm := Paper, Blue, Vermilion
	side := 0.9 * size
	f.add(Rect{Box{xs - side, mid - up - side, 2 * side, 2 * side}, 0, &white, Pen{Colour: blue, Width: 0.5}})
	f.add(Circle{Point{xc, mid + up}, size, &verm, Pen{}})
	sa, ca := Start, End
	if r.Software < r.Clinician || r.Software == r.Clinician && r.Strong {
		sa, ca = End, Start
	}
	put := func(x, y float64, s string, an Anchor, m Marker, v float64) {
		dx := 2.2
		if an == End {
			dx = -dx
		}
		if tied {
			dx *= 1.25
			at := mid + math.Copysign(up, y-base)
			f.line(x+0.4*dx, at, x+0.85*dx, at, Pen{Colour: m.Lettering(), Width: 0.35})
		}
		f.backed(x+dx, y, s+off(a, v), an, r.Strong, m.Lettering())
	}
	put(xs, base-aside, r.SoftwareText, sa, OpenSquare, r.Software)
	put(xc, base+aside, r.ClinicianText, ca, FilledCircle, r.Clinician)
}

// backed writes on a strip of paper, so that no line runs through it.
func (f *Figure) backed(x, y float64, s string, an Anchor, bold bool, c Colour) {
	t := Text{At: Point{x, y}, Text: s, Anchor: an, Bold: bold, Colour: c, Size: TextSize}
	b := t.Bounds()
	white := Paper
	f.add(Rect{Box{b.X - 0.4, b.Y + 0.3, b.W + 0.8, b.H - 0.6}, 0, &white, Pen{}}, t)
}

// off marks a value beyond the scale.
func off(a axis, v float64) string {
	switch {
	case v > a.hi+0.005:
		return "\u00a0→"
	case v < a.lo-0.005:
		return "\u00a0←"
	}
	return ""
}

// single draws one mark for all styles, and the reason on the right.
func (d Dots) single(f *Figure, a axis, r DotRow, y, w float64) {
	base, mid := y+3.5, y+2.6
	if !math.IsNaN(r.Pooled) {
		x := a.hold(r.Pooled)
		c, left, right := Grey, x-0.8, x+0.8
		if r.Low < r.High {
			left, right = a.hold(r.Low), a.hold(r.High)
			f.line(left, mid, right, mid, Pen{Colour: Grey, Width: 0.3})
		}
		f.add(Circle{Point{x, mid}, 0.95, &c, Pen{}})
		text := r.PooledText + off(a, r.Pooled)
		if room := w - plotEnd + 10; right+1.4+width(text, false) > room {
			f.backed(left-1.4, base, text, End, false, Muted)
		} else {
			f.backed(right+1.4, base, text, Start, false, Muted)
		}
	}
	f.ink(w, base, fitText(r.Reason, plotEnd-3, false), End, false, Muted)
}
