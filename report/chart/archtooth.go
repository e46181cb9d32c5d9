package chart

import (
	"math"
	"slices"
)

// ArchTooth is one tooth of an arch, already worded.
type ArchTooth struct {
	ID, Label string  // stable, "tooth 14"; in the reader's notation
	Title     string  // in words, for who points at it
	Value     float64 // expression, for the step of colour; NaN where there is none to show
	Text      string  // the same as printed
	Few       bool    // too few to show: hatched and empty
	Thin      bool    // too few cases for an interval: hollow
	Strong    bool    // meant by the title
	Lower     bool    // as low as what the title means
	Near      bool    // may be as low
	Joined    string  // teeth beside each other with the same are one block: they share one value
	Notes     []int
}

// filler gives the fill of a tooth or of a kind.
type filler func(ArchTooth) *Colour

// jaw sets sixteen teeth along half an ellipse about c, from the patient's
// right to the left, each as wide as its crown is relative to the others.
func (a Arch) jaw(f *Figure, arch int, third bool, c Point, curve *halfEllipse, fill filler) {
	last := 7
	if !third {
		last = 6
	}
	total := 0.0
	for i := range last + 1 {
		total += 2 * drawnWidth(arch, i)
	}
	at := 0.0
	var row []placedTooth
	for i := 7 - last; i < 9+last; i++ {
		pos := i - 8
		if i < 8 {
			pos = 7 - i
		}
		share := drawnWidth(arch, pos) / total
		row = append(row, placedTooth{a.Teeth[16*arch+i], at, at + share})
		at += share
	}
	for len(row) > 0 {
		n := 1
		for row[0].Joined != "" && n < len(row) && row[n].Joined == row[0].Joined {
			n++
		}
		if row[0].Joined != "" {
			f.joined(row[:n], c, curve, fill)
		} else {
			p, tx, ty := curve.at((row[0].from + row[0].to) / 2)
			f.archTooth(row[0].ArchTooth, c.plus(p.X, p.Y), tx, ty, (row[0].to-row[0].from)*curve.length, fill)
		}
		if len(a.Kinds) == 0 {
			for _, t := range row[:n] {
				p, tx, ty := curve.at((t.from + t.to) / 2)
				in := 2.0
				if t.from == 0 || t.to > 1-1e-9 { // the ends stand upright, close to their neighbours
					in = 2.6
				}
				f.toothLabel(t.Label, c.plus(p.X, p.Y), tx, ty, in)
			}
		}
		row = row[n:]
	}
}

// placedTooth is a tooth on its piece of a curve, in shares of the length.
type placedTooth struct {
	ArchTooth
	from, to float64
}

// joined draws teeth beside each other that share a value as one block, with a seam
// where one tooth meets the next.
func (f *Figure) joined(row []placedTooth, c Point, curve *halfEllipse, fill filler) {
	inset := 0.25 / curve.length
	from, to := row[0].from+inset, row[len(row)-1].to-inset
	colour, line := looks(row[0].ArchTooth, fill)
	for _, t := range row {
		shape := strip(c, curve, max(t.from, from), min(t.to, to), 1)
		f.key(t.ID, t.Title, func(f *Figure) {
			f.add(Polygon{shape, colour, Pen{}})
			if t.Thin {
				rim := thinRim / curve.length
				f.add(Polygon{strip(c, curve, max(t.from, from+rim), min(t.to, to-rim), 1-2*thinRim/toothDeep), &Paper, Pen{}})
			}
			if t.Few {
				f.add(hatchConvex(shape, 1.1, fewPen)...)
			}
		})
	}
	for _, t := range row[1:] {
		outer, inner := acrossArch(c, curve, t.from, toothDeep/2)
		f.line(outer.X, outer.Y, inner.X, inner.Y, Pen{Colour: Paper, Width: 0.25})
	}
	f.add(Polygon{strip(c, curve, from, to, 1), nil, line})
}

// strip is the piece of an arch between two shares of its curve, in its middle, as deep
// as that share of a tooth.
func strip(c Point, curve *halfEllipse, from, to, share float64) []Point {
	const steps = 64 // a block may be the whole arch
	half := share * toothDeep / 2
	outer, inner := make([]Point, 0, 2*(steps+1)), make([]Point, 0, steps+1)
	for i := range steps + 1 {
		o, in := acrossArch(c, curve, from+(to-from)*float64(i)/steps, half)
		outer, inner = append(outer, o), append(inner, in)
	}
	slices.Reverse(inner)
	return append(outer, inner...)
}

// acrossArch are the points that far outside and inside a curve, at a share of it.
func acrossArch(c Point, curve *halfEllipse, share, half float64) (outer, inner Point) {
	p, tx, ty := curve.at(share)
	return c.plus(p.X+ty*half, p.Y-tx*half), c.plus(p.X-ty*half, p.Y+tx*half)
}

// looks are the fill and the outline of a tooth or a block of teeth.
func looks(t ArchTooth, fill filler) (*Colour, Pen) {
	switch {
	case t.Few:
		return nil, fewPen
	case t.none():
		return nil, nonePen
	case t.Lower:
		return fill(t), lowerPen
	}
	return fill(t), stepPen
}

// archTooth draws a tooth about p whose row runs along (tx, ty), w mm wide.
func (f *Figure) archTooth(t ArchTooth, p Point, tx, ty, w float64, fill filler) {
	shape := tilted(p, tx, ty, w-0.45, toothDeep, 1.5)
	f.key(t.ID, t.Title, func(f *Figure) {
		colour, line := looks(t, fill)
		f.add(Polygon{shape, colour, line})
		switch {
		case t.Few:
			f.add(hatchConvex(shape, 1.1, fewPen)...)
		case colour != nil:
			f.valueIn(t, p, w-0.75, On(*colour))
		}
	})
}

// toothLabel writes the number of a tooth inside the arch: towards its middle, that many
// mm from its edge.
func (f *Figure) toothLabel(label string, p Point, tx, ty, in float64) {
	nx, ny := ty, -tx
	if ny > 0 == (p.Y > f.H/2) {
		nx, ny = -nx, -ny
	}
	d := toothDeep/2 + in
	f.sized(p.X+nx*d, p.Y+ny*d+0.8, label, Middle, false, Muted, leastPt)
}

// valueIn writes the value of a tooth about p, in a narrow one smaller. The number of the
// tooth is beside it, and the legend tells the two apart.
func (f *Figure) valueIn(t ArchTooth, p Point, room float64, c Colour) {
	if t.Text == "" {
		return
	}
	number := Text{Text: t.Text, Anchor: Middle, Bold: t.Strong, Colour: c, Size: toothPt, Notes: t.Notes}
	if less := room / number.Bounds().W; less < 1 {
		number.Size = math.Max(less*toothPt, leastPt)
	}
	number.At = p.plus(0, 0.9)
	f.add(number)
}

// drawnWidth is the relative width of a tooth as drawn: narrow ones are wider than they
// are, so that a percentage fits.
func drawnWidth(arch, pos int) float64 { return crownWidths[arch][pos] + 11 }

// crownWidths are the mesiodistal crown widths in mm, from the midline out, of
// the upper and the lower teeth, as taught (common practice, no source). They set
// the relative width of the cells, nothing else.
var crownWidths = [2][8]float64{
	{8.5, 6.5, 7.5, 7.0, 7.0, 10.0, 9.0, 8.5},
	{5.0, 5.5, 7.0, 7.0, 7.0, 11.0, 10.5, 10.0},
}
