package chart

import "math"

// DotGroup is the rows under one head.
type DotGroup struct {
	Title string
	Rows  []DotRow
}

// Dots sets movements under each other on one scale from 0 to 100 % of the plan; beside a
// pair stands its difference with its interval about a line of no difference.
type Dots struct {
	Title, Desc         string
	Groups              []DotGroup
	Software, Clinician string // names of the styles, written at the first pair
	Interval            string // head of the column of limits, "95 % CI"
	NoInterval          string // why a value of all teeth has no interval
	RowHeight           float64
	low                 int     // levels of Tight
	span                float64 // of the scale of differences to either side, where it is set
}

// Columns of the rows in mm: names from nameX, the number of patients up to patientsEnd, the
// scale from dotX, then what ends at these distances from the right edge: the scale of
// differences, or that of all teeth where there are none, and three columns of numbers.
const (
	nameX       = 9.5
	patientsEnd = 50.0
	dotX        = 56.0
	alonePlot   = 60.0
	gapEnd      = 47.5
	gapWide     = 25.0
	gapApart    = 8.0
	groundAside = 1.5
	pointsEnd   = 38.0
	limitsEnd   = 17.2
	amountEnd   = 0.0
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

// slice gives the rows from..to-1 in their groups, on the scales of all.
func (d Dots) slice(from, to int) Dots {
	out, at := d, 0
	out.Groups, out.span = nil, d.spread()
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

// plots are the scale of what was achieved and that of differences, which has no width
// where nothing is compared.
func (d Dots) plots(w float64) (achieved, gaps axis) {
	span := d.spread()
	if span == 0 {
		return axis{0, 1, dotX, w - alonePlot - dotX}, axis{}
	}
	gaps = axis{-span, span, w - gapEnd - gapWide, gapWide}
	return axis{0, 1, dotX, gaps.x - gapApart - dotX}, gaps
}

// The scale of differences ends a little beyond one of these points of the plan.
var gapScales = []float64{0.25, 0.5, 1}

const beyondTick = 1.15

// spread is what the scale of differences holds to either side: every interval up to the
// middle one of the scales, and every difference; 0 where there is none.
func (d Dots) spread() float64 {
	if d.span > 0 {
		return d.span
	}
	far, any := 0.0, false
	for _, g := range d.Groups {
		for _, r := range g.Rows {
			if r.Pair {
				any = true
				for _, v := range []float64{r.Low, r.High} {
					if !math.IsNaN(v) {
						far = math.Max(far, math.Min(math.Abs(v), gapScales[1]))
					}
				}
				far = math.Max(far, math.Abs(r.Gap))
			}
		}
	}
	if !any {
		return 0
	}
	for _, v := range gapScales {
		if far <= v*beyondTick {
			return v * beyondTick
		}
	}
	return gapScales[len(gapScales)-1] * beyondTick
}

// Draw draws the rows with the scale above and below them.
func (d Dots) Draw(w float64) *Figure {
	f := &Figure{Title: d.Title, Desc: d.Desc, W: w}
	a, gaps := d.plots(w)
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
		pairs := len(g.Rows) > 0 && g.Rows[0].Pair
		if pairs && !named {
			line := y
			if beside := i == 0 && y > 0 && width(g.Title, false) < nameLimit; beside {
				line = y - d.head()
			} else {
				y += RowHeight
			}
			d.names(f, line)
			d.heads(f, w, line)
			named = true
		}
		bottom := y + float64(len(g.Rows))*d.step()
		f.add(gridLines(a, y-0.2, bottom)...)
		if pairs {
			f.gapLines(gaps, y-0.2, bottom)
		}
		for _, r := range g.Rows {
			f.key(r.ID, r.Title, func(f *Figure) { d.row(f, a, gaps, r, y, w) })
			y += d.step()
		}
	}
	f.ink(0, y+3.6, "achieved, % of planned", Start, false, Muted)
	for _, v := range quarters {
		f.ink(a.at(v), y+3.6, percentLabel(v), Middle, false, Muted)
	}
	if gaps.w > 0 {
		d.gapScale(f, gaps, y+3.6)
	}
	if d.hasNoInterval() {
		if gaps.w > 0 { // whose labels take that line
			y += RowHeight
		}
		x := w - f.ink(w, y+3.6, d.NoInterval, End, false, Muted)
		hollow(f, x-2.2, y+2.5, Grey)
	}
	f.H = y + RowHeight
	return f
}

// hasNoInterval is true where a value of all teeth stands without one.
func (d Dots) hasNoInterval() bool {
	for _, g := range d.Groups {
		for _, r := range g.Rows {
			if !r.Pair && !math.IsNaN(r.Pooled) && !(r.Low < r.High) {
				return d.NoInterval != ""
			}
		}
	}
	return false
}

// gapScale labels no difference and the last round number to either side.
func (d Dots) gapScale(f *Figure, a axis, y float64) {
	v := a.hi / beyondTick
	label := "+" + percentLabel(v)
	end := a.at(v) - width(label, false)/2 + width(label+" points", false)
	ground := GroundGrey
	f.add(Rect{Box{a.x - groundAside, y - 3.3, end - a.x + 2*groundAside, 4.3}, 0, &ground, Pen{}})
	f.ink(a.at(-v), y, percentLabel(-v), Middle, false, Muted)
	f.ink(a.at(0), y, "0", Middle, false, Muted)
	f.ink(a.at(v)-width(label, false)/2, y, label+" points", Start, false, Muted)
}

// gapLines are the line of no difference and those of the labels beside it.
func (f *Figure) gapLines(a axis, top, bottom float64) {
	v := a.hi / beyondTick
	ground := GroundGrey // no scale runs on into the other
	f.add(Rect{Box{a.x - groundAside, top, a.w + 2*groundAside, bottom - top}, 0, &ground, Pen{}})
	f.line(a.at(-v), top, a.at(-v), bottom, gridPen)
	f.line(a.at(v), top, a.at(v), bottom, gridPen)
	f.line(a.at(0), top, a.at(0), bottom, refPen)
}

var quarters = []float64{0, 0.25, 0.5, 0.75, 1}

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
	f.ink(w-limitsEnd, y+3.2, "points ("+d.Interval+")", End, false, Muted)
	f.ink(w-amountEnd, y+3.2, "in mm or °", End, false, Muted)
}

// names writes the two styles with their marks above the first pair, in the same order
// and place in every report.
func (d Dots) names(f *Figure, y float64) {
	x := patientsEnd + 5
	for _, of := range []struct {
		mark Marker
		name string
	}{{OpenSquare, d.Software}, {FilledCircle, d.Clinician}} {
		of.mark.draw(f, x+markerR, y+2)
		x += 3.2
		x += f.ink(x, y+3.1, of.name, Start, true, of.mark.Lettering()) + 3
	}
}
