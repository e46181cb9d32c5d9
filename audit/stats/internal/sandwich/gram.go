package sandwich

import (
	"math"

	"shortfall/audit/stats/internal/numeric"
)

// gramLimit is the share of a column's length that must be left after
// projection on the columns before it for cross-products to be trusted: they
// lose the square of it, so at least twelve digits stay.
const gramLimit = 1e-2

// gramSurely is the square of such a share at or below which a column may be exactly
// dependent: the rows themselves decide.
const gramSurely = 1e-9

// gramFactor is numeric.StreamQR through the Cholesky factor of the cross-products of
// W^(1/2)[X y] (Golub & Van Loan 2013, Matrix Computations, 4th ed., section
// 5.3.2): a quarter of the work. A column that the rows show to depend on those kept
// before it has no row of its own. ok is false where one comes nearer to depending than
// gramLimit without doing so; y may.
func gramFactor(x, y, rootW []float64, width int) (r []float64, ok bool) {
	g := gram(x, y, rootW, width)
	f, suspects := newFactor(g, width)
	if f == nil || !f.depend(x, rootW, suspects, g) {
		return nil, false
	}
	return f.r, true
}

// newFactor factors cross-products. suspects are the columns left out, which rows must
// show to depend on those kept before them; nil where one comes too near.
func newFactor(g []float64, width int) (f *factor, suspects []int) {
	q := width + 1
	f = &factor{q: q, r: make([]float64, q*q)}
	column := make([]float64, q)
	for j := range q {
		for i := range j + 1 {
			column[i] = g[i*q+j]
		}
		left := f.eliminate(column, j)
		switch size := column[j]; {
		case j == width:
			f.r[len(f.kept)*q+j] = math.Sqrt(math.Max(0, left))
		case left > gramLimit*gramLimit*size:
			f.r[len(f.kept)*q+j] = math.Sqrt(left)
			f.kept = append(f.kept, j)
		case left > gramSurely*size:
			return nil, nil
		default:
			suspects = append(suspects, j)
		}
	}
	return f, suspects
}

// factor is the triangle of the columns kept so far: row k is that of the k-th of them.
type factor struct {
	q    int
	r    []float64
	kept []int
}

// eliminate makes column j of the factor from its cross-products, and gives the square
// of what is left of it.
func (f *factor) eliminate(products []float64, j int) float64 {
	q, r := f.q, f.r
	left := products[j]
	for k, i := range f.kept {
		s := products[i]
		for m := range k {
			s -= r[m*q+i] * r[m*q+j]
		}
		r[k*q+j] = s / r[k*q+i]
	}
	for k := range f.kept {
		left -= r[k*q+j] * r[k*q+j]
	}
	return left
}

// depend reports whether the rows show what the cross-products suspect, by the measure of
// triangularise: of each column less its combination of those kept before it nothing
// but rounding is left.
func (f *factor) depend(x, rootW []float64, suspects []int, g []float64) bool {
	width, p := f.q-1, len(f.kept)
	by, left := make([]float64, len(suspects)*p), make([]float64, len(suspects))
	for c, j := range suspects {
		f.combination(j, by[c*p:(c+1)*p])
	}
	for from := 0; len(suspects) > 0 && from < len(x); from += width {
		row, w := x[from:from+width], 1.0
		if rootW != nil {
			w = rootW[from/width]
		}
		for c, j := range suspects {
			e := row[j]
			for k, v := range by[c*p : (c+1)*p] {
				e -= v * row[f.kept[k]]
			}
			left[c] += w * w * e * e
		}
	}
	for c, j := range suspects {
		if !(left[c] <= rankTolerance*rankTolerance*g[j*f.q+j]) {
			return false
		}
	}
	return true
}

// combination solves for the coefficients of column j on those kept before it.
func (f *factor) combination(j int, out []float64) {
	for k := len(f.kept) - 1; k >= 0; k-- {
		if f.kept[k] > j {
			continue
		}
		s := f.r[k*f.q+j]
		for m := k + 1; m < len(f.kept) && f.kept[m] < j; m++ {
			s -= f.r[k*f.q+f.kept[m]] * out[m]
		}
		out[k] = s / f.r[k*f.q+f.kept[k]]
	}
}

// gram is the upper triangle of the cross-products of W^(1/2)[X y], four rows
// at a time so that each sum is loaded and stored once for four products.
func gram(x, y, rootW []float64, width int) []float64 {
	q := width + 1
	g, rows := make([]float64, q*q), make([]float64, 4*q)
	four := numeric.Quarters(rows, q)
	for from := 0; from < len(y); from += 4 {
		loadRows(x, y, rootW, width, from, rows)
		numeric.AddOuter4(&numeric.Ones, four, g)
	}
	return g
}

// loadRows copies four rows of W^(1/2)[X y], zeros behind the last.
func loadRows(x, y, rootW []float64, width, from int, rows []float64) {
	q := width + 1
	for k := range 4 {
		if i, row := from+k, rows[k*q:(k+1)*q]; i < len(y) {
			loadRow(x, y, rootW, width, i, row)
		} else {
			clear(row)
		}
	}
}

// loadRow copies row i.
func loadRow(x, y, rootW []float64, width, i int, row []float64) {
	copy(row, x[i*width:(i+1)*width])
	row[width] = y[i]
	if rootW != nil {
		numeric.Scale(rootW[i], row)
	}
}
