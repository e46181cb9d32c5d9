package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// gramLimit is the share of a column's length that must be left after
// projection on the columns before it for cross-products to be trusted: they
// lose the square of it, so at least twelve digits stay.
const gramLimit = 1e-2

// gramFactor is numeric.StreamQR through the Cholesky factor of the cross-products of
// W^(1/2)[X y] (Golub & Van Loan 2013, Matrix Computations, 4th ed., section
// 5.3.2): a quarter of the work. ok is false where a column comes nearer to
// depending on those before it than gramLimit; y may.
func gramFactor(x, y, rootW []float64, width int) (r []float64, ok bool) {
	q := width + 1
	g := gram(x, y, rootW, width)
	for j := range q {
		left := eliminate(g, q, j)
		if j < width && !(left > gramLimit*gramLimit*g[j*q+j]) {
			return nil, false
		}
		g[j*q+j] = math.Sqrt(math.Max(0, left))
	}
	return g, true
}

// eliminate makes column j of the factor from that of the cross-products, and gives
// the square of what is left of it.
func eliminate(g []float64, q, j int) float64 {
	for i := range j {
		s := g[i*q+j]
		for k := range i {
			s -= g[k*q+i] * g[k*q+j]
		}
		g[i*q+j] = s / g[i*q+i]
	}
	left := g[j*q+j]
	for k := range j {
		left -= g[k*q+j] * g[k*q+j]
	}
	return left
}

// gramOutcome replaces the last column of a factor, that of the outcome, by another
// outcome's: the same sums, four rows at a time, as gram makes.
func gramOutcome(x, y, rootW []float64, width int, g []float64) {
	q := width + 1
	sums, row := make([]float64, q), make([]float64, 4*q)
	for from := 0; from < len(y); from += 4 {
		loadRows(x, y, rootW, width, from, row)
		a, b, c, d := row[:q], row[q:2*q], row[2*q:3*q], row[3*q:4*q]
		v, w, s, z := a[width], b[width], c[width], d[width]
		for i := range sums {
			sums[i] += a[i]*v + b[i]*w + c[i]*s + d[i]*z
		}
	}
	for i, s := range sums {
		g[i*q+width] = s
	}
	g[width*q+width] = math.Sqrt(math.Max(0, eliminate(g, q, width)))
}

// gram is the upper triangle of the cross-products of W^(1/2)[X y], four rows
// at a time so that each sum is loaded and stored once for four products.
func gram(x, y, rootW []float64, width int) []float64 {
	q := width + 1
	g, rows := make([]float64, q*q), make([]float64, 4*q)
	for from := 0; from < len(y); from += 4 {
		loadRows(x, y, rootW, width, from, rows)
		addOuter4(rows[:q], rows[q:2*q], rows[2*q:3*q], rows[3*q:], g)
	}
	return g
}

// loadRows copies four rows of W^(1/2)[X y], zeros behind the last.
func loadRows(x, y, rootW []float64, width, from int, rows []float64) {
	q := width + 1
	for k := range 4 {
		i, row := from+k, rows[k*q:(k+1)*q]
		if i >= len(y) {
			clear(row)
			continue
		}
		copy(row, x[i*width:(i+1)*width])
		row[width] = y[i]
		if rootW != nil {
			numeric.Scale(rootW[i], row)
		}
	}
}

// addOuter4 adds aa' + bb' + cc' + dd' to the upper triangle of m.
func addOuter4(a, b, c, d, m []float64) {
	p := len(a)
	b, c, d = b[:p], c[:p], d[:p]
	for i := range p {
		v, w, y, z := a[i], b[i], c[i], d[i]
		if v == 0 && w == 0 && y == 0 && z == 0 {
			continue
		}
		a, b, c, d := a[i:], b[i:], c[i:], d[i:]
		out := m[i*p+i : (i+1)*p]
		b, c, d, out = b[:len(a)], c[:len(a)], d[:len(a)], out[:len(a)]
		for j := range a {
			out[j] += v*a[j] + w*b[j] + y*c[j] + z*d[j]
		}
	}
}
