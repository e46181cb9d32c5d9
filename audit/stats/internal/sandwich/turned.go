package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// centre takes its weighted mean from a group, a second time for what rounding left, so
// that no digits are lost. The largest that is left is returned.
func (b *Blocks) centre(v []float64, from int) (left float64) {
	share := b.share[from : from+len(v)]
	for range 2 {
		mean := numeric.Dot(share, v)
		left = 0
		for k := range v {
			v[k] -= mean
			left = max(left, math.Abs(v[k]))
		}
	}
	return left
}

// weight multiplies values from a place on by the roots of their weights.
func (b *Blocks) weight(v []float64, from int) {
	if b.root != nil {
		for k, w := range b.root[from : from+len(v)] {
			v[k] *= w
		}
	}
}

// turned writes the coordinates of the rows of a group from a place on: less the share of
// the first row in each, which the reflection of Householder that takes the roots of the
// weights to the first axis leaves of it (Golub & Van Loan 2013, Matrix Computations, 4th
// ed., section 5.1.2), the rows having no part along them.
func (b *Blocks) turned(v []float64, from int, out []float64) {
	turn := b.turn[from : from+len(v)]
	for k := range out {
		out[k] = v[k+1] - turn[k+1]*v[0]
	}
}

// spelt turns coordinates, so many numbers each, back to the rows by place.
func (b *Blocks) spelt(z []float64, width int) []float64 {
	out := b.arena.Floats(b.Rows() * width)
	for r := range b.Groups() {
		from, to := b.runs[r], b.runs[r+1]
		before := b.at(r) - from - 1 // the coordinate of a place less the place
		first := out[from*width : (from+1)*width]
		for k := from + 1; k < to; k++ {
			numeric.Axpy(-math.Sqrt(b.share[k]), z[(before+k)*width:(before+k+1)*width], first)
		}
		for k := from + 1; k < to; k++ {
			row := out[k*width : (k+1)*width]
			copy(row, z[(before+k)*width:(before+k+1)*width])
			numeric.Axpy(b.turn[k], first, row)
		}
	}
	return out
}

// Outcome is y, one a row, by coordinate: less its group means, times the root of its weight.
func (b *Blocks) Outcome(y []float64) []float64 {
	out := b.arena.Room(b.Size())
	size, left := 0.0, 0.0
	for r := range b.Groups() {
		from := b.runs[r]
		b.rows = resize(b.rows, b.runs[r+1]-from)
		for k := range b.rows {
			b.rows[k] = y[b.Row(from+k)]
			size = max(size, math.Abs(b.rows[k]))
		}
		if len(b.rows) == 1 { // all of it is the mean
			continue
		}
		left = max(left, b.centre(b.rows, from))
		b.weight(b.rows, from)
		b.turned(b.rows, from, out[b.at(r):b.at(r+1)])
	}
	if left <= leastWithin*size {
		clear(out)
	}
	return out
}
