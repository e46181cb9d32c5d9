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
	Gap                 float64 // of a pair: clinician-designed minus software-suggested
	Low, High           float64 // the interval of what is shown, of Gap or Pooled; NaN where there is none
	SoftwareText        string
	ClinicianText       string
	PooledText          string
	Difference, Limits  string // "+14", "+9 to +20"
	Amount              string // the same difference in mm or degrees
	Reason              string
	Patients            string // with both styles
	Notes               []int
}

// hold maps a value that is kept on the scale.
func (a axis) hold(v float64) float64 { return a.at(math.Max(a.lo, math.Min(a.hi, v))) }

func (d Dots) row(f *Figure, a, gaps axis, r DotRow, y, w float64) {
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
	d.gap(f, gaps, r, mid)
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

// gap draws the difference with its interval: dark and thick where it is clear.
func (d Dots) gap(f *Figure, a axis, r DotRow, mid float64) {
	if math.IsNaN(r.Gap) || a.w == 0 {
		return
	}
	pen, size := Pen{Colour: Grey, Width: 0.4}, 0.75
	if r.Strong {
		pen, size = Pen{Colour: Ink, Width: 0.8}, 1.15
	}
	f.interval(a, mid, r.Gap, r.Low, r.High, pen)
	if a.inside(r.Gap) {
		f.add(Circle{Point{a.at(r.Gap), mid}, size, &pen.Colour, Pen{}})
	}
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

// single draws one mark for all styles, hollow where it has no interval, and the reason on
// the right.
func (d Dots) single(f *Figure, a axis, r DotRow, y, w float64) {
	base, mid := y+3.5, y+2.6
	reason := fitText(r.Reason, w-a.x-a.w-4, false)
	room := w - width(reason, false) - 3
	if !math.IsNaN(r.Pooled) {
		x := a.hold(r.Pooled)
		left, right := x-markerR, x+markerR
		if r.Low < r.High {
			left, right = min(left, a.hold(r.Low)), max(right, a.hold(r.High))
			f.line(a.hold(r.Low), mid, a.hold(r.High), mid, Pen{Colour: Grey, Width: 0.4})
			solid(f, x, mid, Grey)
		} else {
			hollow(f, x, mid, Grey)
		}
		text := r.PooledText + off(a, r.Pooled)
		if right+1.2+width(text, false) > room {
			f.backed(left-1.2, base, text, End, false, Muted)
		} else {
			f.backed(right+1.2, base, text, Start, false, Muted)
		}
	}
	f.ink(w, base, reason, End, false, Muted)
}
