package chart

import (
	"math"
	"sort"
)

// halfEllipse runs from (-rx, 0) over (0, ry) to (rx, 0), by length of arc.
type halfEllipse struct {
	rx, ry float64
	length float64
	cum    []float64 // length up to each step of the angle
}

const ellipseSteps = 720

func newHalfEllipse(rx, ry float64) *halfEllipse {
	e := &halfEllipse{rx: rx, ry: ry, cum: make([]float64, ellipseSteps+1)}
	prev := e.point(0)
	for i := 1; i <= ellipseSteps; i++ {
		p := e.point(float64(i) / ellipseSteps)
		e.cum[i] = e.cum[i-1] + math.Hypot(p.X-prev.X, p.Y-prev.Y)
		prev = p
	}
	e.length = e.cum[ellipseSteps]
	return e
}

func (e *halfEllipse) point(t float64) Point {
	s, c := math.Sincos(math.Pi * t)
	return Point{-e.rx * c, e.ry * s}
}

// at gives the point at a share of the length and the direction there.
func (e *halfEllipse) at(share float64) (p Point, tx, ty float64) {
	want := share * e.length
	i := 1 + sort.SearchFloat64s(e.cum[1:ellipseSteps], want)
	t := (float64(i-1) + (want-e.cum[i-1])/(e.cum[i]-e.cum[i-1])) / ellipseSteps
	s, c := math.Sincos(math.Pi * t)
	tx, ty = e.rx*s, e.ry*c
	l := math.Hypot(tx, ty)
	return Point{-e.rx * c, e.ry * s}, tx / l, ty / l
}

// tilted is a rectangle about p with round corners, w along (tx, ty) and h
// across, as a polygon.
func tilted(p Point, tx, ty, w, h, r float64) []Point {
	r = math.Min(r, math.Min(w, h)/2)
	var out []Point
	const steps = 5
	for corner := range 4 {
		sx, sy := [4]float64{1, -1, -1, 1}[corner], [4]float64{1, 1, -1, -1}[corner]
		for i := range steps + 1 {
			a := (float64(corner) + float64(i)/steps) * math.Pi / 2
			s, c := math.Sincos(a)
			u, v := sx*(w/2-r)+r*c, sy*(h/2-r)+r*s
			out = append(out, Point{p.X + u*tx - v*ty, p.Y + u*ty + v*tx})
		}
	}
	return out
}

// hatchConvex fills a convex shape with slanted lines gap mm apart.
func hatchConvex(shape []Point, gap float64, p Pen) (out []Item) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range shape {
		lo, hi = math.Min(lo, q.X+q.Y), math.Max(hi, q.X+q.Y)
	}
	step := gap * math.Sqrt2
	for k := math.Ceil(lo/step) * step; k < hi; k += step {
		var cut []Point
		for i, a := range shape {
			b := shape[(i+1)%len(shape)]
			da, db := a.X+a.Y-k, b.X+b.Y-k
			if (da < 0) != (db < 0) {
				t := da / (da - db)
				cut = append(cut, Point{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)})
			}
		}
		if len(cut) == 2 {
			out = append(out, Line{cut[0], cut[1], p})
		}
	}
	return out
}
