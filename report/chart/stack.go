package chart

// Stack sets figures above each other, gap mm apart.
func Stack(gap float64, title, desc string, figs ...*Figure) *Figure {
	out := &Figure{Title: title, Desc: desc}
	for i, f := range figs {
		if i > 0 {
			out.H += gap
		}
		out.add(shift(f.Items, 0, out.H)...)
		out.H += f.H
		out.W = max(out.W, f.W)
	}
	return out
}

// Beside sets figures next to each other, gap mm apart, their tops level.
func Beside(gap float64, title, desc string, figs ...*Figure) *Figure {
	out := &Figure{Title: title, Desc: desc}
	for i, f := range figs {
		if i > 0 {
			out.W += gap
		}
		out.add(shift(f.Items, out.W, 0)...)
		out.W += f.W
		out.H = max(out.H, f.H)
	}
	return out
}

// shift moves items right by dx and down by dy.
func shift(items []Item, dx, dy float64) []Item {
	out := make([]Item, len(items))
	for i, it := range items {
		switch it := it.(type) {
		case Line:
			it.A, it.B = it.A.plus(dx, dy), it.B.plus(dx, dy)
			out[i] = it
		case Polyline:
			it.Points = shiftPoints(it.Points, dx, dy)
			out[i] = it
		case Polygon:
			it.Points = shiftPoints(it.Points, dx, dy)
			out[i] = it
		case Rect:
			it.Box.X, it.Box.Y = it.Box.X+dx, it.Box.Y+dy
			out[i] = it
		case Circle:
			it.Centre = it.Centre.plus(dx, dy)
			out[i] = it
		case Text:
			it.At = it.At.plus(dx, dy)
			out[i] = it
		case Hatch:
			it.Box.X, it.Box.Y = it.Box.X+dx, it.Box.Y+dy
			out[i] = it
		case Group:
			if it.Clip != nil {
				c := *it.Clip
				c.X, c.Y = c.X+dx, c.Y+dy
				it.Clip = &c
			}
			it.Items = shift(it.Items, dx, dy)
			out[i] = it
		case Key:
			it.Items = shift(it.Items, dx, dy)
			out[i] = it
		}
	}
	return out
}

func (p Point) plus(dx, dy float64) Point { return Point{p.X + dx, p.Y + dy} }

func shiftPoints(ps []Point, dx, dy float64) []Point {
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = p.plus(dx, dy)
	}
	return out
}
