package chart

import "math"

// ArchTooth is one tooth of an arch, already worded.
type ArchTooth struct {
	ID, Label string  // stable, "tooth 14"; in the reader's notation
	Title     string  // in words, for who points at it
	Value     float64 // expression, for the step of colour; NaN where there is none to show
	Text      string  // the same as printed
	Few       bool    // too few to show: hatched and empty
	Strong    bool    // meant by the title
	Notes     []int
}

// Arch is the teeth of both jaws in their place, facing the patient: the
// patient's right on the left, upper teeth above. Teeth run from the upper right
// third molar to the upper left one, then from the lower right to the lower left.
type Arch struct {
	Title, Under string // in the middle, and below it
	Teeth        []ArchTooth
}

// Arches are several arches on one scale, so many in a row.
type Arches struct {
	Title, Desc string
	Arches      []Arch
	Across      int
	Flat        bool // wider than tall, where there is little height
	Side        bool // the legend stands on the right instead of below
	low         int  // levels of Tight
}

// archStep is a step of expression: its lower limit, its words, its colour. The
// darker, the more of the plan is missing; four greys apart also without hue.
type archStep struct {
	from   float64
	words  string
	colour Colour
}

var archSteps = []archStep{
	{math.Inf(-1), "under 35 %", Colour{0x1F, 0x5A, 0x56}},
	{0.35, "35 to 49", Colour{0x6D, 0xA1, 0x9B}},
	{0.50, "50 to 64", Colour{0xB7, 0xD3, 0xCF}},
	{0.65, "65 and over", Colour{0xEE, 0xF5, 0xF4}},
}

func stepOf(v float64) Colour {
	c := archSteps[0].colour
	for _, s := range archSteps {
		if math.Round(v*100) >= math.Round(s.from*100) { // as printed
			c = s.colour
		}
	}
	return c
}

const (
	archGapX  = 5.0
	archGapY  = 4.0
	toothDeep = 5.6 // from cheek to tongue, mm
	toothPt   = 6.1 // lettering in and at the teeth, points
)

// Tight makes the arches flatter.
func (as Arches) Tight(level int) Drawing {
	as.low += level
	return as
}

// Draw draws the arches with their legend.
func (as Arches) Draw(w float64) *Figure {
	across, room := max(1, min(as.Across, len(as.Arches))), w
	if as.Side {
		room = w - sideW
	}
	each := (room - archGapX*float64(as.Across-1)) / float64(max(1, as.Across))
	third := hasThird(as.Arches)
	var rows []*Figure
	for i := 0; i < len(as.Arches); i += across {
		var row []*Figure
		for _, a := range as.Arches[i:min(i+across, len(as.Arches))] {
			row = append(row, a.draw(each, third, as.deep()))
		}
		rows = append(rows, Beside(archGapX, "", "", row...))
	}
	if as.Side {
		f := Stack(archGapY, as.Title, as.Desc, rows...)
		sideLegend(f, w-sideW+6, f.H/2-3*RowHeight)
		f.W = w
		return f
	}
	f := Stack(archGapY, as.Title, as.Desc, append(rows, archLegend(w))...)
	f.W = w
	return f
}

// sideW is the room for a legend on the right.
const sideW = 34.0

// sideLegend shows the steps one below the other.
func sideLegend(f *Figure, x, y float64) {
	const size = 3.6
	f.ink(x, y+3, "% of planned", Start, false, Muted)
	for _, s := range archSteps {
		y += RowHeight + 0.8
		c := s.colour
		f.add(Rect{Box{x, y, size, size}, 0.9, &c, Pen{Colour: Muted, Width: 0.15}})
		f.ink(x+size+1.4, y+3, s.words, Start, false, Muted)
	}
	y += RowHeight + 0.8
	b := Box{x, y, size, size}
	f.add(Rect{b, 0.9, nil, Pen{Colour: RuleGrey, Width: 0.15}}, Hatch{b, 1, Pen{Colour: RuleGrey, Width: 0.15}})
	f.ink(x+size+1.4, y+3, "too few to show", Start, false, Muted)
}

// hasThird is true where a third molar has something to show.
func hasThird(as []Arch) bool {
	for _, a := range as {
		for i, t := range a.Teeth {
			if p := i % 16; (p == 0 || p == 15) && (t.Few || !math.IsNaN(t.Value)) {
				return true
			}
		}
	}
	return false
}

// deep is the depth of an arch as a share of half its width.
func (as Arches) deep() float64 {
	deep, least := 0.70, 0.56
	if as.Flat {
		deep, least = 0.58, 0.47
	}
	return math.Max(deep-0.12*float64(as.low), least)
}

func (a Arch) draw(w float64, third bool, deep float64) *Figure {
	f := &Figure{Title: a.Title, W: w}
	rx := (w - toothDeep) / 2
	ry := deep * rx
	gap := 3.2 // between the jaws at the molars
	f.H = 2*(ry+toothDeep/2) + gap + toothDeep
	c := Point{w / 2, ry + toothDeep/2}
	f.jaw(a.Teeth[:16], 0, third, c, rx, -ry)
	c.Y += gap + toothDeep
	f.jaw(a.Teeth[16:], 1, third, c, rx, ry)
	mid := f.H / 2
	f.text(w/2, mid, a.Title, Middle, true)
	f.ink(w/2, mid+RowHeight, a.Under, Middle, false, Muted)
	return f
}

// jaw sets sixteen teeth along half an ellipse about c, from the patient's
// right to the left, each as wide as its crown is relative to the others.
func (f *Figure) jaw(teeth []ArchTooth, arch int, third bool, c Point, rx, ry float64) {
	last := 7
	if !third {
		last = 6
	}
	total := 0.0
	for i := range last + 1 {
		total += 2 * crownWidths[arch][i]
	}
	curve := newHalfEllipse(rx, ry)
	at := 0.0
	for i := 7 - last; i < 9+last; i++ {
		pos := i - 8
		if i < 8 {
			pos = 7 - i
		}
		share := crownWidths[arch][pos] / total
		p, tx, ty := curve.at(at + share/2)
		at += share
		f.archTooth(teeth[i], c.plus(p.X, p.Y), tx, ty, share*curve.length)
	}
}

// archTooth draws a tooth about p whose row runs along (tx, ty), w mm wide.
func (f *Figure) archTooth(t ArchTooth, p Point, tx, ty, w float64) {
	shape := tilted(p, tx, ty, w-0.45, toothDeep, 1.5)
	f.key(t.ID, t.Title, func(f *Figure) {
		line := Pen{Colour: Muted, Width: 0.15}
		if t.Strong {
			line = Pen{Colour: Ink, Width: 0.55}
		}
		switch {
		case t.Few:
			f.add(Polygon{shape, nil, Pen{Colour: RuleGrey, Width: 0.15}})
			f.add(hatchConvex(shape, 1.1, Pen{Colour: RuleGrey, Width: 0.15})...)
		case math.IsNaN(t.Value):
			f.add(Polygon{shape, nil, Pen{Colour: PaleGrey, Width: 0.15}})
		default:
			fill := stepOf(t.Value)
			f.add(Polygon{shape, &fill, line})
			f.add(Text{At: p.plus(0, 0.8), Text: t.Text, Anchor: Middle, Bold: t.Strong, Colour: On(fill), Size: toothPt, Notes: t.Notes})
		}
	})
	// The number of the tooth stands inside the arch: towards its middle.
	nx, ny := ty, -tx
	if ny > 0 == (p.Y > f.H/2) {
		nx, ny = -nx, -ny
	}
	d := toothDeep/2 + 1.9
	f.sized(p.X+nx*d, p.Y+ny*d+0.8, t.Label, Middle, false, Muted, toothPt-0.5)
}

// archLegend shows the four steps, and what is not shown.
func archLegend(w float64) *Figure {
	f := &Figure{W: w, H: 5.2}
	const size = 3.6
	x := 0.0
	x += f.ink(x, 4, "achieved, % of planned:", Start, false, Muted) + 3
	for _, s := range archSteps {
		c := s.colour
		f.add(Rect{Box{x, 0.9, size, size}, 0.9, &c, Pen{Colour: Muted, Width: 0.15}})
		x += size + 1.2
		x += f.ink(x, 4, s.words, Start, false, Muted) + 4
	}
	b := Box{x, 0.9, size, size}
	f.add(Rect{b, 0.9, nil, Pen{Colour: RuleGrey, Width: 0.15}}, Hatch{b, 1, Pen{Colour: RuleGrey, Width: 0.15}})
	f.ink(x+size+1.2, 4, "too few to show", Start, false, Muted)
	return f
}

// crownWidths are the mesiodistal crown widths in mm, from the midline out, of
// the upper and the lower teeth: Nelson & Ash, Wheeler's Dental Anatomy,
// Physiology and Occlusion, 9th ed. 2010, measurement tables of the permanent
// teeth (from memory). They set the relative width of the cells, nothing else.
var crownWidths = [2][8]float64{
	{8.5, 6.5, 7.5, 7.0, 7.0, 10.0, 9.0, 8.5},
	{5.0, 5.5, 7.0, 7.0, 7.0, 11.0, 10.5, 10.0},
}
