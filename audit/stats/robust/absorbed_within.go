package robust

import (
	"math"

	"shortfall/audit/stats"
)

// leastWithin is the share of a column's spread that must lie within groups for it
// to vary there at all; below it is rounding.
const leastWithin = 1e-10

// within is a model less the weighted means of its groups.
type within struct {
	x, y  []float64
	total []float64 // weight of each group
	share []float64 // of each row in the weight of its group
	size  []float64 // largest value of each column of X
}

// within takes the weighted group means from X and Y. A column that is constant
// within every group but for rounding becomes zero.
func (m AbsorbedModel) within(group []int, groups int) within {
	w := within{total: m.Arena.Floats(groups), share: m.Arena.Floats(len(group))}
	for i, g := range group {
		w.total[g] += m.weight(i)
	}
	for i, g := range group {
		w.share[i] = m.weight(i) / w.total[g]
	}
	width := len(m.Names)
	w.size = largest(m.X, width)
	if w.x = m.X; !m.Spent {
		w.x = m.Arena.Room(len(m.X))
		copy(w.x, m.X)
	}
	w.centre(m.Arena, w.x, width, group)
	flatten(w.size, w.x, width)
	w.y = w.outcome(m.Arena, m.Y, group)
	return w
}

// outcome is y less its group means.
func (w *within) outcome(arena *stats.Arena, y []float64, group []int) []float64 {
	to := arena.Room(len(y))
	copy(to, y)
	w.centre(arena, to, 1, group)
	flatten(largest(y, 1), to, 1)
	return to
}

// centre takes their weighted group means from rows of width numbers, a second time
// for what rounding left, so that no digits are lost.
func (w *within) centre(arena *stats.Arena, to []float64, width int, group []int) {
	mark := arena.Mark()
	defer arena.Release(mark)
	mean := arena.Floats(len(w.total) * width)
	for pass := range 2 {
		if pass > 0 {
			clear(mean)
		}
		for i, g := range group {
			share, m := w.share[i], mean[g*width:(g+1)*width]
			for j, v := range to[i*width : (i+1)*width] {
				m[j] += share * v
			}
		}
		for i, g := range group {
			m, row := mean[g*width:(g+1)*width], to[i*width:(i+1)*width]
			for j, v := range m {
				row[j] -= v
			}
		}
	}
}

// flatten makes columns zero in which nothing but rounding is left of their size.
func flatten(size, to []float64, width int) {
	left := largest(to, width)
	for j := range width {
		if left[j] <= leastWithin*size[j] {
			for i := j; i < len(to); i += width {
				to[i] = 0
			}
		}
	}
}

// largest is the greatest absolute value of each column.
func largest(rows []float64, width int) []float64 {
	out := make([]float64, width)
	for i := 0; i < len(rows); i += width {
		grow(out, rows[i:i+width])
	}
	return out
}

func grow(size, row []float64) {
	for j, v := range row {
		if v = math.Abs(v); v > size[j] {
			size[j] = v
		}
	}
}
