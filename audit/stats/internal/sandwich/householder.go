package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// triangularise takes the triangle of [X y], walks its columns from left to
// right, drops those that depend on the columns before them (the limited
// pivoting of R's lm), and fills L, the coefficients and the aliases.
func (o *Solution) triangularise(r []float64) {
	q := o.Width + 1
	length := make([]float64, o.Width)
	for j := range length {
		for i := 0; i <= j; i++ {
			length[j] = math.Hypot(length[j], r[i*q+j])
		}
	}
	for j := range o.Width {
		k := len(o.Cols)
		left := 0.0
		for i := k; i < q; i++ {
			left = math.Hypot(left, r[i*q+j])
		}
		if left <= rankTolerance*length[j] {
			o.Dropped = append(o.Dropped, j)
			continue
		}
		numeric.Reflect(r, q, k, j)
		o.Cols = append(o.Cols, j)
	}
	o.P = len(o.Cols)
	o.invert(r)
	o.Coef, o.alias = o.solve(r, o.Width), nil
	for _, col := range o.Dropped {
		o.alias = append(o.alias, o.solve(r, col)...)
	}
}

// solve is L times a column of the triangle r.
func (o *Solution) solve(r []float64, col int) []float64 {
	p, q := o.P, o.Width+1
	out := make([]float64, p)
	for a := range p {
		for b := a; b < p; b++ {
			out[a] += o.L[a*p+b] * r[b*q+col]
		}
	}
	return out
}

// invert fills L with the inverse of the kept columns' triangle.
func (o *Solution) invert(r []float64) {
	p, q := o.P, o.Width+1
	o.L = make([]float64, p*p)
	for j := range p {
		o.L[j*p+j] = 1 / r[j*q+o.Cols[j]]
		for i := j - 1; i >= 0; i-- {
			s := 0.0
			for k := i + 1; k <= j; k++ {
				s += r[i*q+o.Cols[k]] * o.L[k*p+j]
			}
			o.L[i*p+j] = -s / r[i*q+o.Cols[i]]
		}
	}
}
