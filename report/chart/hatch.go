package chart

import "math"

// lines cuts 45-degree hatch lines to the box, so that no back end needs to
// clip. Lines follow x + y = k for multiples k of the gap along the diagonal.
func (h Hatch) lines() []Item {
	b, step := h.Box, h.Gap*math.Sqrt2
	var out []Item
	for k := math.Ceil((b.X+b.Y)/step) * step; k < b.X+b.W+b.Y+b.H; k += step {
		x1, y1 := b.X, k-b.X
		if y1 > b.Y+b.H {
			y1 = b.Y + b.H
			x1 = k - y1
		}
		x2, y2 := k-b.Y, b.Y
		if x2 > b.X+b.W {
			x2 = b.X + b.W
			y2 = k - x2
		}
		if x2 > x1 {
			out = append(out, Line{Point{x1, y1}, Point{x2, y2}, h.Pen})
		}
	}
	return out
}
