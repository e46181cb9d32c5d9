package chart

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

// picto draws a tooth with an arrow for the movement, as an upper tooth: root
// above, crown below. Tip and mesiodistal shift are seen from the cheek with
// mesial on the left, torque and buccolingual shift from the mesial side with
// the cheek on the left, rotation from the biting surface.
func (f *Figure) picto(m Move, x, y float64, c Colour) {
	tooth := Pen{Colour: c, Width: 0.22}
	sign := Pen{Colour: c, Width: 0.4}
	cx := x + pictoW/2
	switch m.Kind {
	case Vertical:
		f.outline(frontView, cx-1, y, tooth)
		f.arrows(m.Sign, Point{cx + 2.2, y + 0.8}, Point{cx + 2.2, y + 3.6}, sign)
	case Rotation:
		f.turned(m.Sign, cx, y-0.8, tooth, sign)
	case Tip:
		f.swing(frontView, m.Sign, cx, y, tooth, sign)
	case Torque:
		f.swing(sideView, m.Sign, cx, y, tooth, sign)
	case ShiftAlong:
		f.push(frontView, m.Sign, cx, y, tooth, sign)
	case ShiftAcross:
		f.push(sideView, m.Sign, cx, y, tooth, sign)
	}
}

// Outlines about the middle of the upper edge, in mm: from the cheek, and from
// the mesial side, where the edge is sharp and the crown bulges to the tongue.
var (
	frontView = []Point{{-0.4, 0}, {0.4, 0}, {0.8, 2.1}, {1.25, 2.9}, {1.15, 4.3}, {-1.15, 4.3}, {-1.25, 2.9}, {-0.8, 2.1}}
	sideView  = []Point{{-0.4, 0}, {0.4, 0}, {0.8, 2.1}, {1.25, 3}, {0.4, 3.5}, {-0.3, 4.3}, {-0.7, 4.3}, {-1.1, 2.9}, {-0.8, 2.1}}
)

func (f *Figure) outline(shape []Point, x, y float64, p Pen) {
	f.add(Polygon{shiftPoints(shape, x, y), nil, p})
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
	const l, h = 1.1, 0.75
	ux, uy := unit(b.X-a.X), unit(b.Y-a.Y)
	tip := b.plus(0.5*ux, 0.5*uy)
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

// swing is the crown turning to the left (+) or right about the root.
func (f *Figure) swing(shape []Point, sign int, cx, y float64, tooth, p Pen) {
	f.outline(shape, cx, y, tooth)
	root := Point{cx, y - 1.3}
	if sign >= 0 {
		f.curve(root, 5, 113, 128, p)
	}
	if sign <= 0 {
		f.curve(root, 5, 67, 52, p)
	}
}

// push is the whole tooth moving to the left (+) or right.
func (f *Figure) push(shape []Point, sign int, cx, y float64, tooth, p Pen) {
	f.outline(shape, cx+0.8*float64(sign), y, tooth)
	if sign >= 0 {
		f.arrows(1, Point{cx - 1.2, y + 2.3}, Point{cx - 3, y + 2.3}, p)
	}
	if sign <= 0 {
		f.arrows(1, Point{cx + 1.2, y + 2.3}, Point{cx + 3, y + 2.3}, p)
	}
}

// turned looks onto the biting surface, mesial on the left and the cheek at the
// top: mesial side inward turns the left edge down.
func (f *Figure) turned(sign int, cx, y float64, tooth, p Pen) {
	f.add(Rect{Box{cx - 1.9, y + 1.6, 3.8, 3}, 1.2, nil, tooth})
	f.line(cx-1.9, y+3.1, cx+1.9, y+3.1, Pen{Colour: tooth.Colour, Width: 0.15})
	mid := Point{cx, y + 3.1}
	if sign >= 0 {
		f.curve(mid, 2.6, 205, 165, p)
	}
	if sign <= 0 {
		f.curve(mid, 2.6, 155, 195, p)
	}
}
