package sandwich

import (
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// Products are the cross-products of a design with more columns than one fit takes. A
// fit on some of the columns then costs no sum over the rows but those of its residuals.
type Products struct {
	X, Y, RootW []float64 // as in Orthonormal
	Width       int
	Arena       *stats.Arena
	g           []float64
	shown       [][][]int // by column: the columns on which the rows showed it to depend
}

// Sum fills the cross-products.
func (p *Products) Sum() *Products {
	p.g, p.shown = gram(p.X, p.Y, p.RootW, p.Width), make([][][]int, p.Width)
	return p
}

// Fit is the decomposition of some of the columns, in their order.
func (p *Products) Fit(cols []int) *Orthonormal {
	n, w := len(p.Y), len(cols)
	o := &Orthonormal{N: n, Width: w, X: p.Arena.Room(n * w), RootW: p.RootW, Arena: p.Arena}
	for i := range n {
		row, from := o.X[i*w:(i+1)*w], p.X[i*p.Width:(i+1)*p.Width]
		for k, j := range cols {
			row[k] = from[j]
		}
	}
	f := p.factor(p.g, cols)
	if f == nil {
		return o.Decompose(p.Y)
	}
	o.factor = f.r
	return o.Solve(f.r, p.Y)
}

// mostSubtracted is the share of a column's length up to which rows are taken off: what
// is left keeps fourteen digits of its sums.
const mostSubtracted = 0.99

// nothing is the square of the share of a column that must be left among some of the
// rows for it to vary there at all; below it is rounding.
const nothing = 1e-20

// CoefWithout gives the coefficients of a fit on some of the columns without some of the
// rows, in rising order: all those of the groups whose means were taken out. NaN for
// columns that depend on those before them; false where the columns come too near to
// depending for cross-products.
func (p *Products) CoefWithout(cols, rows []int) (coef []float64, ok bool) {
	g := slices.Clone(p.g)
	off, q := p.among(rows), p.Width+1
	for i, v := range off {
		g[i] -= v
	}
	for j := range q {
		if off[j*q+j] > mostSubtracted*p.g[j*q+j] {
			g = p.among(others(len(p.Y), rows))
			break
		}
	}
	for j := range p.Width {
		if g[j*q+j] > nothing*p.g[j*q+j] {
			continue
		}
		for i := range q {
			g[min(i, j)*q+max(i, j)] = 0
		}
	}
	f := p.factor(g, cols)
	if f == nil {
		return nil, false
	}
	o := &Orthonormal{Width: len(cols)}
	o.triangularise(f.r)
	coef = make([]float64, len(cols))
	for i := range coef {
		coef[i] = math.NaN()
	}
	for a, col := range o.Cols {
		coef[col] = o.Coef[a]
	}
	return coef, true
}

// among are the cross-products of some of the rows.
func (p *Products) among(rows []int) []float64 {
	q := p.Width + 1
	g, four := make([]float64, q*q), make([]float64, 4*q)
	quarters := numeric.Quarters(four, q)
	for at := 0; at < len(rows); at += 4 {
		clear(four)
		for k, i := range rows[at:min(at+4, len(rows))] {
			loadRow(p.X, p.Y, p.RootW, p.Width, i, four[k*q:(k+1)*q])
		}
		numeric.AddOuter4(&numeric.Ones, quarters, g)
	}
	return g
}

// others are the rows of n that are not listed.
func others(n int, rows []int) []int {
	out := make([]int, 0, n-len(rows))
	for i := range n {
		if len(rows) > 0 && rows[0] == i {
			rows = rows[1:]
			continue
		}
		out = append(out, i)
	}
	return out
}

// factor of some of the columns of cross-products; nil where they come too near to
// depending.
func (p *Products) factor(g []float64, cols []int) *factor {
	q, w := p.Width+1, len(cols)
	own := make([]float64, (w+1)*(w+1))
	at := append(slices.Clone(cols), p.Width)
	for i, a := range at {
		for k := i; k <= w; k++ {
			own[i*(w+1)+k] = g[min(a, at[k])*q+max(a, at[k])]
		}
	}
	f, suspects := newFactor(own, w)
	if f == nil {
		return nil
	}
	for _, k := range suspects {
		if !p.depends(f, k, cols) {
			return nil
		}
	}
	return f
}

// depends reports whether the rows show a column to depend on those before it: what they
// all showed once holds for any of them.
func (p *Products) depends(f *factor, k int, cols []int) bool {
	j := cols[k]
	for _, on := range p.shown[j] {
		if !slices.ContainsFunc(on, func(a int) bool { return !slices.Contains(cols[:k], a) }) {
			return true
		}
	}
	var on []int
	by := make([]float64, len(f.kept))
	f.combination(k, by)
	for a, i := range f.kept {
		if i < k {
			on = append(on, cols[i])
			by[a] = -by[a]
		}
	}
	left := 0.0
	for i := range p.Y {
		row := p.X[i*p.Width : (i+1)*p.Width]
		e := row[j]
		for a, c := range on {
			e += by[a] * row[c]
		}
		if p.RootW != nil {
			e *= p.RootW[i]
		}
		left += e * e
	}
	if !(left <= rankTolerance*rankTolerance*p.g[j*(p.Width+1)+j]) {
		return false
	}
	p.shown[j] = append(p.shown[j], on)
	return true
}
