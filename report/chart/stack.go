package chart

// Stack sets figures above each other, gap mm apart.
func Stack(gap float64, title, desc string, figs ...*Figure) *Figure {
	out := &Figure{Title: title, Desc: desc}
	for i, f := range figs {
		if i > 0 {
			out.H += gap
		}
		out.add(shift(f.Items, out.H)...)
		out.H += f.H
		out.W = max(out.W, f.W)
	}
	return out
}

// shift moves items down by dy.
func shift(items []Item, dy float64) []Item {
	out := make([]Item, len(items))
	for i, it := range items {
		switch it := it.(type) {
		case Line:
			it.A.Y, it.B.Y = it.A.Y+dy, it.B.Y+dy
			out[i] = it
		case Polyline:
			it.Points = shiftPoints(it.Points, dy)
			out[i] = it
		case Polygon:
			it.Points = shiftPoints(it.Points, dy)
			out[i] = it
		case Rect:
			it.Box.Y += dy
			out[i] = it
		case Circle:
			it.Centre.Y += dy
			out[i] = it
		case Text:
			it.At.Y += dy
			out[i] = it
		case Hatch:
			it.Box.Y += dy
			out[i] = it
		case Group:
			if it.Clip != nil {
				c := *it.Clip
				c.Y += dy
				it.Clip = &c
			}
			it.Items = shift(it.Items, dy)
			out[i] = it
		}
	}
	return out
}

func shiftPoints(ps []Point, dy float64) []Point {
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = Point{p.X, p.Y + dy}
	}
	return out
}
