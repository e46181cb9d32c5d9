package chart

import "math"

// Signs is the figure of the sign convention: six plain sketches of one tooth,
// an arrow for the positive direction of each axis. Side views show the tooth
// from the cheek with mesial on the left; the torque sketch is seen from the
// mesial side with the cheek on the left; rotation is seen from the biting
// surface with mesial on the left and the cheek at the top.
func Signs(w float64) *Figure {
	f := &Figure{
		Title: "Sign convention", W: w, H: 44,
		Desc: "Positive: extrusion, mesial side inward, crown tip mesial, crown torque buccal, shift mesial, shift buccal. Negative: the opposites.",
	}
	step := w / 6
	for i, s := range []struct {
		axis, unit, plus, minus string
		sketch                  func(*Figure, float64, float64)
	}{
		{"vertical", "mm", "+ extrusion", "− intrusion", sketchVertical},
		{"rotation", "degrees", "+ mesial side in", "− mesial side out", sketchRotation},
		{"mesiodistal", "tip, degrees", "+ crown mesial", "− crown distal", sketchTip},
		{"buccolingual", "torque, degrees", "+ crown buccal", "− crown lingual", sketchTip},
		{"mesiodistal", "shift, mm", "+ mesial", "− distal", sketchShift},
		{"buccolingual", "shift, mm", "+ buccal", "− lingual", sketchShift},
	} {
		x := float64(i) * step
		f.text(x, 3.4, s.axis, Start, false)
		f.text(x, 3.4+RowHeight, s.unit, Start, false)
		s.sketch(f, x+step/2-3, 21)
		f.ink(x, 38, s.plus, Start, true, Ink)
		f.ink(x, 38+RowHeight, s.minus, Start, false, Muted)
		side := [2]string{"mesial", "distal"}
		if i == 3 || i == 5 {
			side = [2]string{"buccal", "lingual"}
		}
		f.ink(x, 32.8, side[0], Start, false, Muted)
		f.ink(x+step-5, 32.8, side[1], End, false, Muted)
	}
	return f
}

var (
	toothPen = Pen{Colour: Grey, Width: 0.3}
	signPen  = Pen{Colour: Ink, Width: 0.5}
)

// crown is a plain side view about its centre, turned by an angle in radians:
// a crown with a tapering root above it.
func (f *Figure) crown(x, y, turn float64, p Pen) {
	outline := []Point{{-3, 1}, {-2.6, 6}, {2.6, 6}, {3, 1}, {1.4, -7}, {-1.4, -7}}
	s, c := math.Sincos(turn)
	pts := make([]Point, len(outline))
	for i, q := range outline {
		dx, dy := q.X, q.Y+7 // turns about the tip of the root
		pts[i] = Point{x + dx*c - dy*s, y - 7 + dx*s + dy*c}
	}
	f.add(Polygon{pts, nil, p})
}

func sketchVertical(f *Figure, x, y float64) {
	f.crown(x, y, 0, toothPen)
	f.line(x+6, y-3, x+6, y+4, signPen)
	f.down(x+6, y+5, signPen)
}

func sketchTip(f *Figure, x, y float64) {
	f.crown(x+2, y, 0, Pen{Colour: RuleGrey, Width: 0.2, Dash: []float64{0.8, 0.6}})
	f.crown(x+2, y, 0.3, toothPen)
	f.curve(Point{x + 2, y - 7}, 15.5, 90, 118, signPen)
}

func sketchShift(f *Figure, x, y float64) {
	f.crown(x+2, y, 0, Pen{Colour: RuleGrey, Width: 0.2, Dash: []float64{0.8, 0.6}})
	f.crown(x-2, y, 0, toothPen)
	f.line(x+2, y+8, x-3, y+8, signPen)
	f.arrow(x-4, y+8, -1, signPen)
}

// sketchRotation looks onto the biting surface: cheek at the top.
func sketchRotation(f *Figure, x, y float64) {
	f.add(Rect{Box{x - 4.5, y - 3, 9, 6.5}, 2.4, nil, toothPen})
	f.line(x-4.5, y, x+4.5, y, Pen{Colour: RuleGrey, Width: 0.2})
	f.curve(Point{x, y}, 6.4, 215, 160, signPen)
	f.ink(x, y-6.4, "buccal", Middle, false, Muted)
}

// curve draws an arc between two angles in degrees (0 right, 90 down) with an
// arrow head at its end.
func (f *Figure) curve(c Point, r, from, to float64, p Pen) {
	const steps = 16
	at := func(deg float64) Point {
		s, co := math.Sincos(deg * math.Pi / 180)
		return Point{c.X + r*co, c.Y + r*s}
	}
	pts := make([]Point, steps+1)
	for i := range pts {
		pts[i] = at(from + (to-from)*float64(i)/steps)
	}
	f.add(Polyline{pts, p})
	tip, dir := pts[steps], math.Copysign(1, to-from)
	s, co := math.Sincos(to * math.Pi / 180)
	tx, ty := -s*dir, co*dir // along the arc
	col := p.Colour
	f.add(Polygon{[]Point{
		{tip.X + tx*1.4, tip.Y + ty*1.4},
		{tip.X - ty*0.9, tip.Y + tx*0.9},
		{tip.X + ty*0.9, tip.Y - tx*0.9},
	}, &col, Pen{}})
}
