package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// raster is how dark a pictogram is in cells of half a millimetre, about what is told
// apart at arm's length, 0 white to 1 black: without hue.
func raster(m Move) (out []float64) {
	const cell, fine = 0.5, 5
	f := &Figure{}
	f.picto(m, 1, 1, pictoH, Muted)
	for y := 0.0; y < pictoH+2; y += cell {
		for x := 0.0; x < pictoW+2; x += cell {
			sum := 0.0
			for i := range fine * fine {
				sum += darkness(f.Items, Point{x + cell*(float64(i%fine)+0.5)/fine, y + cell*(float64(i/fine)+0.5)/fine})
			}
			out = append(out, sum/fine/fine)
		}
	}
	return out
}

// darkness of the topmost item at a point.
func darkness(items []Item, p Point) (dark float64) {
	for _, it := range items {
		switch it := it.(type) {
		case Polygon:
			if it.Fill != nil && within(it.Points, p) {
				dark = 1 - it.Fill.luminance()
			}
		case Rect:
			if b := it.Box; it.Fill != nil && p.X > b.X && p.X < b.X+b.W && p.Y > b.Y && p.Y < b.Y+b.H {
				dark = 1 - it.Fill.luminance()
			}
		case Line:
			if offLine(it.A, it.B, p) < it.Pen.Width/2 {
				dark = 1 - it.Pen.Colour.luminance()
			}
		case Polyline:
			for i := range it.Points[1:] {
				if offLine(it.Points[i], it.Points[i+1], p) < it.Pen.Width/2 {
					dark = 1 - it.Pen.Colour.luminance()
				}
			}
		}
	}
	return dark
}

func within(shape []Point, p Point) (in bool) {
	for i, a := range shape {
		b := shape[(i+1)%len(shape)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// offLine is how far a point lies from a line between two others.
func offLine(a, b, p Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := math.Max(0, math.Min(1, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/(dx*dx+dy*dy)))
	return math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
}

// The twelve pictograms are told apart in grey at the size in which they are printed: two
// of them differ in more than a fifth of what either has of ink. Outlines of one tooth with
// an arrow of a few tenths of a millimetre, which looked alike, differ in less.
func TestPictogramsAreToldApart(t *testing.T) {
	ink := func(a []float64) (sum float64) {
		for _, v := range a {
			sum += v
		}
		return sum
	}
	pictures := make([][]float64, len(moves))
	for i, m := range moves {
		pictures[i] = raster(m.move)
	}
	for i, a := range pictures {
		for j, b := range pictures[:i] {
			differ := 0.0
			for k := range a {
				differ += math.Abs(a[k] - b[k])
			}
			assert.Greater(t, differ, 0.2*(ink(a)+ink(b)), "%s and %s", moves[i].name, moves[j].name)
		}
	}
}
