package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// turned turns the differences d of the rows of group r from its first, every so many of z,
// into its coordinates. Less the weighted mean m of d and times the roots of the weights w, W
// in sum, the rows have no part along these roots, and the reflection of Householder that
// takes those to the first axis (Golub & Van Loan 2013, Matrix Computations, 4th ed., section
// 5.1.2) leaves sqrt(w_k) (d_k - m / (1 + sqrt(w_1/W))) of row k. Of differences no digits
// are lost in the mean. See BenchmarkTurned.
func (b *Blocks) turned(r int, z []float64, every int) {
	from, less := b.runs[r]+1, 0.0
	turn := b.turn[from:b.runs[r+1]]
	for k, t := range turn {
		less += t * z[k*every]
	}
	for k := range turn {
		if z[k*every] -= less; b.root != nil {
			z[k*every] *= b.root[from+k]
		}
	}
}

// spelt turns coordinates, so many numbers each, back to the rows by place.
func (b *Blocks) spelt(z []float64, width int) []float64 {
	out := b.arena.Floats(b.Rows() * width)
	for r := range b.Groups() {
		from, to := b.runs[r], b.runs[r+1]
		before := b.at(r) - from - 1 // the coordinate of a place less the place
		first, length := out[from*width:(from+1)*width], math.Sqrt(b.total[r])
		for k := from + 1; k < to; k++ {
			numeric.Axpy(-b.weightRoot(k)/length, z[(before+k)*width:(before+k+1)*width], first)
		}
		for k := from + 1; k < to; k++ {
			row := out[k*width : (k+1)*width]
			copy(row, z[(before+k)*width:(before+k+1)*width])
			numeric.Axpy(b.weightRoot(k)/(length+b.weightRoot(from)), first, row)
		}
	}
	return out
}

// weightRoot is the root of the weight at a place.
func (b *Blocks) weightRoot(place int) float64 {
	if b.root == nil {
		return 1
	}
	return b.root[place]
}

// Outcome is y, one a row, by coordinate: less its group means, times the root of its weight.
func (b *Blocks) Outcome(y []float64) []float64 {
	out := b.arena.Room(b.Size())
	size, left := 0.0, 0.0
	for r := range b.Groups() {
		from, z := b.runs[r], out[b.at(r):b.at(r+1)]
		first := y[b.Row(from)]
		size = max(size, math.Abs(first))
		for k := range z {
			v := y[b.Row(from+1+k)]
			z[k] = v - first
			size, left = max(size, math.Abs(v)), max(left, math.Abs(z[k]))
		}
		b.turned(r, z, 1)
	}
	if left <= leastWithin*size {
		clear(out)
	}
	return out
}
