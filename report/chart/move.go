package chart

import "math"

// Kind of a movement, for its pictogram.
type Kind int

// The kinds of movement, as the sign convention has them.
const (
	NoKind      Kind = iota
	Vertical         // + extrusion
	Rotation         // + mesial side inward
	Tip              // + crown mesial
	Torque           // + crown buccal
	ShiftAlong       // mesiodistal, + mesial
	ShiftAcross      // buccolingual, + buccal
)

// Move is a movement in one direction. Sign 0 shows both.
type Move struct {
	Kind Kind
	Sign int
}

// pictoW and pictoH are the size of a pictogram in mm.
const (
	pictoW = 7.5
	pictoH = 4.4
)

// picto draws a pictogram, in low rows a smaller one.
func (f *Figure) picto(m Move, x, y, height float64, c Colour) {
	k := math.Min(1, height/pictoH)
	whole := &Figure{}
	whole.pictogram(m, 0, 0, c)
	for _, it := range whole.Items {
		f.add(shrunk(it, k, Point{x + pictoW*(1-k)/2, y}))
	}
}

// shrunk is an item of a pictogram at a share of its size, from a corner on.
func shrunk(it Item, k float64, at Point) Item {
	move := func(p Point) Point { return at.plus(k*p.X, k*p.Y) }
	all := func(ps []Point) []Point {
		out := make([]Point, len(ps))
		for i, p := range ps {
			out[i] = move(p)
		}
		return out
	}
	switch it := it.(type) {
	case Polygon:
		it.Points = all(it.Points)
		return it
	case Polyline:
		it.Points, it.Pen.Width = all(it.Points), k*it.Pen.Width
		return it
	case Line:
		it.A, it.B, it.Pen.Width = move(it.A), move(it.B), k*it.Pen.Width
		return it
	case Rect:
		p := move(Point{it.Box.X, it.Box.Y})
		it.Box, it.Radius = Box{p.X, p.Y, k * it.Box.W, k * it.Box.H}, k*it.Radius
		return it
	}
	return it
}

// pictogram draws a tooth with an arrow for the movement, as an upper tooth: root above,
// crown below. What is pale tells the view: the gum in vertical
// movement, the neighbours in what is seen from the cheek (tip and mesiodistal shift,
// mesial on the left), the cheek on the left in what is seen from the mesial side (torque
// and buccolingual shift). Rotation is seen from the biting surface, the cheek at the top.
// Bodily movement has an upright tooth, turning a slanted one.
func (f *Figure) pictogram(m Move, x, y float64, c Colour) {
	cx, cy := x+pictoW/2, y+pictoH/2
	switch m.Kind {
	case Vertical:
		f.line(cx-3.4, cy-0.1, cx+1, cy-0.1, Pen{Colour: viewGrey, Width: 0.9})
		up := 0.6 * float64(m.Sign) // the arrow stands where the tooth goes
		f.tooth(frontView, cx-1.2, cy+0.3*float64(m.Sign), 0, c)
		f.arrows(m.Sign, Point{cx + 2.3, cy - 1 + up}, Point{cx + 2.3, cy + 1 + up}, Pen{Colour: c, Width: 0.5})
	case Rotation:
		f.turned(m.Sign, cx, cy, c)
	case Tip:
		f.neighbours(cx, cy)
		f.lean(frontView, m.Sign, cx, cy, c)
	case Torque:
		f.cheek(cx, cy)
		f.lean(sideView, m.Sign, cx, cy, c)
	case ShiftAlong:
		f.neighbours(cx, cy)
		f.push(frontView, m.Sign, cx, cy, c)
	case ShiftAcross:
		f.cheek(cx, cy)
		f.push(sideView, m.Sign, cx, cy, c)
	}
}

// viewGrey is what tells the view of a pictogram.
var viewGrey = Colour{0xB8, 0xB8, 0xB8}

// Outlines about the middle, in mm: from the cheek, and from the mesial side, where
// the edge is sharp and the crown bulges to the tongue.
var (
	frontView = []Point{{-0.3, -2.1}, {0.3, -2.1}, {0.7, 0}, {1.1, 0.7}, {1, 2.1}, {-1, 2.1}, {-1.1, 0.7}, {-0.7, 0}}
	sideView  = []Point{{-0.3, -2.1}, {0.3, -2.1}, {0.6, 0}, {1.15, 0.9}, {0.3, 1.4}, {-0.2, 2.1}, {-0.6, 2.1}, {-1, 0.7}, {-0.6, 0}}
)

// tooth fills an outline about a point, turned by an angle in radians: positive turns the
// crown to the left.
func (f *Figure) tooth(shape []Point, x, y, turn float64, c Colour) {
	s, co := math.Sincos(turn)
	pts := make([]Point, len(shape))
	for i, q := range shape {
		pts[i] = Point{x + q.X*co - q.Y*s, y + q.X*s + q.Y*co}
	}
	f.add(Polygon{pts, &c, Pen{}})
}

// neighbours are the crowns before and behind.
func (f *Figure) neighbours(cx, cy float64) {
	pale := viewGrey
	for _, x := range []float64{cx - 3.7, cx + 2.3} {
		f.add(Rect{Box{x, cy + 0.2, 1.4, 1.9}, 0.4, &pale, Pen{}})
	}
}

// cheek is on the left.
func (f *Figure) cheek(cx, cy float64) {
	f.line(cx-3.3, cy-2.1, cx-3.3, cy+2.1, Pen{Colour: viewGrey, Width: 0.8})
}

// arrows draws a line from a to b with a head at b for a positive sign, at a
// for a negative one, at both for none.
func (f *Figure) arrows(sign int, a, b Point, p Pen) {
	f.line(a.X, a.Y, b.X, b.Y, p)
	if sign >= 0 {
		f.head(a, b, p)
	}
	if sign <= 0 {
		f.head(b, a, p)
	}
}

// head is an arrow head at b, pointing away from a; lines are level or upright.
func (f *Figure) head(a, b Point, p Pen) {
	const l, h = 1.2, 0.9
	ux, uy := unit(b.X-a.X), unit(b.Y-a.Y)
	tip := b.plus(0.6*ux, 0.6*uy)
	c := p.Colour
	f.add(Polygon{[]Point{tip, tip.plus(-l*ux-h*uy, -l*uy-h*ux), tip.plus(-l*ux+h*uy, -l*uy+h*ux)}, &c, Pen{}})
}

func unit(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// lean is the crown turned to the left (+) or right, the root the other way.
func (f *Figure) lean(shape []Point, sign int, cx, cy float64, c Colour) {
	f.tooth(shape, cx, cy, 0.42*float64(sign), c)
	f.sideways(sign, cx, cy+1.3, 1.9, c)
}

// push is the whole tooth moved to the left (+) or right.
func (f *Figure) push(shape []Point, sign int, cx, cy float64, c Colour) {
	f.tooth(shape, cx+0.5*float64(sign), cy, 0, c)
	f.sideways(sign, cx, cy-0.9, 0.8, c)
}

// sideways is an arrow to the left (+) or right that begins so far from the middle.
func (f *Figure) sideways(sign int, cx, y, from float64, c Colour) {
	p := Pen{Colour: c, Width: 0.45}
	if sign >= 0 {
		f.arrows(1, Point{cx - from, y}, Point{cx - 3.1, y}, p)
	}
	if sign <= 0 {
		f.arrows(1, Point{cx + from, y}, Point{cx + 3.1, y}, p)
	}
}

// turned looks onto the biting surface, mesial on the left: mesial side inward turns the
// left edge down.
func (f *Figure) turned(sign int, cx, cy float64, c Colour) {
	bite := []Point{{-1.9, -0.8}, {-1.3, -1.15}, {1.3, -1.15}, {1.9, -0.8}, {1.9, 0.8}, {1.3, 1.15}, {-1.3, 1.15}, {-1.9, 0.8}}
	f.tooth(bite, cx, cy, -0.45*float64(sign), c)
	mid, p := Point{cx, cy}, Pen{Colour: c, Width: 0.45}
	if sign >= 0 {
		f.curve(mid, 2.9, 215, 165, p)
	}
	if sign <= 0 {
		f.curve(mid, 2.9, 145, 195, p)
	}
}
