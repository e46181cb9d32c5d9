package sandwich

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// rankTolerance is the share of a column's length that must be left after
// projection on the columns before it for the column to count as new; the
// value is that of R's lm.
const rankTolerance = 1e-7

// Clustering groups rows: those of cluster g are start[g] <= k < start[g+1],
// through order where rows do not come sorted.
type Clustering struct {
	Start []int
	order []int // nil: row k is row k
}

// NewClustering groups n rows by their ids; nil: each row its own cluster.
func NewClustering(n int, cluster []int) Clustering {
	if cluster == nil {
		c := Clustering{Start: make([]int, n+1)}
		for i := range c.Start {
			c.Start[i] = i
		}
		return c
	}
	if slices.IsSorted(cluster) {
		return sortedClustering(cluster)
	}
	index, m := bycase.Index(cluster)
	counts := make([]int, m+1)
	for _, k := range index {
		counts[k+1]++
	}
	for k := range m {
		counts[k+1] += counts[k]
	}
	c := Clustering{Start: []int{0}}
	for k := range m { // ids may leave gaps
		if counts[k+1] > counts[k] {
			c.Start = append(c.Start, counts[k+1])
		}
	}
	c.order = make([]int, n)
	for i, k := range index {
		c.order[counts[k]] = i
		counts[k]++
	}
	return c
}

// sortedClustering reads clusters whose ids come sorted: the rows stay where
// they are.
func sortedClustering(cluster []int) Clustering {
	runs := 0
	for i := range cluster {
		if i == 0 || cluster[i] != cluster[i-1] {
			runs++
		}
	}
	c := Clustering{Start: make([]int, 1, runs+1)}
	for i := 1; i <= len(cluster); i++ {
		if i == len(cluster) || cluster[i] != cluster[i-1] {
			c.Start = append(c.Start, i)
		}
	}
	return c
}

// Count is the number of clusters.
func (c Clustering) Count() int { return len(c.Start) - 1 }

// Row is the number of the k-th row in the order of clusters.
func (c Clustering) Row(k int) int {
	if c.order == nil {
		return k
	}
	return c.order[k]
}

// Orthonormal is a design matrix seen through T = W^(1/2) X L, whose columns
// are orthonormal. L is the inverse of the triangular factor of the QR
// decomposition, so (X'WX)^-1 = L L'. All later work is done in coordinates
// of T, where cross-products are safe to form.
type Orthonormal struct {
	Solution
	N     int
	X     []float64
	RootW []float64    // nil: ones
	Resid []float64    // n residuals y - Xb, not weighted
	t     []float64    // the rows of T, if kept
	Arena *stats.Arena // nil: own memory
}

// NewOrthonormal decomposes [W^(1/2)X, W^(1/2)y]: through the Cholesky factor
// of the cross-products where the columns are far from dependent (see
// gramFactor), else by Householder reflections, block of rows by block of rows
// (Golub & Van Loan 2013, Matrix Computations, 4th ed., sections 5.2.2 and
// 5.1.8: the result is the same as that of scaled columns). It drops dependent
// columns, and polishes the coefficients with one step of refinement (Bjorck
// 1996, Numerical Methods for Least Squares Problems, 6.6.5, corrected
// seminormal equations). Cost n width^2 / 2 or 2 n width^2.
func NewOrthonormal(x, y, rootW []float64, width int) *Orthonormal {
	o := (&Orthonormal{Solution: Solution{Width: width}, N: len(y), X: x, RootW: rootW}).Decompose(y)
	o.KeepRows()
	return o
}

// Decompose fills everything from X, weights and the outcome y.
func (o *Orthonormal) Decompose(y []float64) *Orthonormal {
	r, ok := gramFactor(o.X, y, o.RootW, o.Width)
	if !ok {
		r = numeric.StreamQR(o.X, y, o.RootW, o.Width)
	}
	return o.Solve(r, y)
}

// Solve fills everything from the triangle of [X y].
func (o *Orthonormal) Solve(r, y []float64) *Orthonormal {
	o.triangularise(r)
	o.polish(y)
	return o
}

// polish fills the residuals and takes one step of refinement, L L'X'We.
func (o *Orthonormal) polish(y []float64) {
	o.Resid = o.Arena.Room(o.N)
	o.residuals(y)
	left, step := make([]float64, o.Width), make([]float64, o.P)
	for i, e := range o.Resid {
		root := o.WeightRoot(i)
		numeric.Axpy(e*root*root, o.X[i*o.Width:(i+1)*o.Width], left)
	}
	o.project(left, step)
	for a := range o.P {
		o.Coef[a] += numeric.Dot(o.L[a*o.P+a:(a+1)*o.P], step[a:])
	}
	o.RSS = o.residuals(y)
}

// WeightRoot is the root of the weight of row i.
func (o *Orthonormal) WeightRoot(i int) float64 {
	if o.RootW == nil {
		return 1
	}
	return o.RootW[i]
}

// Row writes row i of T = W^(1/2) X L into t.
func (o *Orthonormal) Row(i int, t []float64) {
	o.project(o.X[i*o.Width:(i+1)*o.Width], t)
	if o.RootW != nil {
		numeric.Scale(o.RootW[i], t)
	}
}

// KeepRows keeps T for who reads it more than once, unless it is too large.
func (o *Orthonormal) KeepRows() {
	if o.t != nil || o.N*o.P > cacheLimit {
		return
	}
	p := o.P
	o.t = o.Arena.Room(o.N * p)
	columns, rows := make([]float64, p*p), numeric.Quarters(make([]float64, 4*p), p) // of L; of X
	for a := range p {
		for j := a; j < p; j++ {
			columns[j*p+a] = o.L[a*p+j]
		}
	}
	for from := 0; from < o.N; from += 4 {
		n := min(4, o.N-from)
		for k := range n {
			x := o.X[(from+k)*o.Width : (from+k+1)*o.Width]
			for a, col := range o.Cols {
				rows[k][a] = x[col]
			}
		}
		o.fourRows(from, n, rows, columns)
	}
}

// fourRows writes n rows of T, four or what is left of them, from those of X.
func (o *Orthonormal) fourRows(from, n int, x *[4][]float64, columns []float64) {
	p := o.P
	var root [4]float64
	for k := range n {
		root[k] = o.WeightRoot(from + k)
	}
	for j := range p {
		l := columns[j*p : j*p+j+1]
		a, b, c, d := x[0][:len(l)], x[1][:len(l)], x[2][:len(l)], x[3][:len(l)]
		var s [4]float64
		for i, v := range l {
			s[0] += a[i] * v
			s[1] += b[i] * v
			s[2] += c[i] * v
			s[3] += d[i] * v
		}
		for k := range n {
			o.t[(from+k)*p+j] = s[k] * root[k]
		}
	}
}

// RowOf is row i of T, not to be changed; own is its place where T is not kept.
func (o *Orthonormal) RowOf(i int, own []float64) []float64 {
	if o.t != nil {
		return o.t[i*o.P : (i+1)*o.P]
	}
	o.Row(i, own)
	return own
}

func (o *Orthonormal) residuals(y []float64) (rss float64) {
	for i := range o.N {
		x := o.X[i*o.Width : (i+1)*o.Width]
		e := y[i]
		for a, col := range o.Cols {
			e -= x[col] * o.Coef[a]
		}
		o.Resid[i] = e
		e *= o.WeightRoot(i)
		rss += e * e
	}
	return rss
}

// CheckDesign refuses shapes that do not fit and numbers that are not finite.
func CheckDesign(names []string, x, y []float64, cluster []int) error {
	if err := CheckShape(names, x, y, cluster); err != nil {
		return err
	}
	if err := CheckOutcome(y); err != nil {
		return err
	}
	for i, v := range x {
		if p := len(names); !bycase.InRange(v) {
			return bycase.OutOfRange(fmt.Sprintf("row %d, column %q", i/p, names[i%p]), v)
		}
	}
	return nil
}

// CheckShape refuses shapes that do not fit.
func CheckShape(names []string, x, y []float64, cluster []int) error {
	n, p := len(y), len(names)
	switch {
	case n == 0:
		return fmt.Errorf("stats: no rows to fit")
	case p == 0:
		return fmt.Errorf("stats: no columns to fit")
	case len(x) != n*p:
		return fmt.Errorf("stats: design of %d numbers, expected %d rows of %d columns", len(x), n, p)
	case cluster != nil && len(cluster) != n:
		return fmt.Errorf("stats: %d rows but %d cluster ids", n, len(cluster))
	}
	return nil
}

// CheckOutcome refuses outcomes that are not finite.
func CheckOutcome(y []float64) error {
	for i, v := range y {
		if !bycase.InRange(v) {
			return bycase.OutOfRange(fmt.Sprintf("outcome of row %d", i), v)
		}
	}
	return nil
}

// CheckWeights refuses weights that are not positive, or not one a row.
func CheckWeights(n int, weights []float64) error {
	if weights == nil {
		return nil
	}
	if len(weights) != n {
		return fmt.Errorf("stats: %d rows but %d weights", n, len(weights))
	}
	for i, w := range weights {
		if !(w > 0 && w <= bycase.Largest) {
			return fmt.Errorf("stats: weight of row %d is %v: expected a positive number; leave rows of no weight out", i, w)
		}
	}
	return nil
}

// Roots are the square roots of w; nil of nil.
func Roots(w []float64) []float64 { return RootsIn(nil, w) }

// RootsIn is Roots in memory of a.
func RootsIn(a *stats.Arena, w []float64) []float64 {
	if w == nil {
		return nil
	}
	out := a.Room(len(w))
	for i, v := range w {
		out[i] = math.Sqrt(v)
	}
	return out
}

// DroppedColumns names the columns left out, with a warning each.
func DroppedColumns(names []string, dropped []int) (out []string, warnings []stats.Warning) {
	for _, col := range dropped {
		out = append(out, names[col])
		warnings = append(warnings, stats.Warning{
			ID: "dependent-column", Text: fmt.Sprintf("column %q depends on the columns before it and was dropped", names[col]),
			Remedy: "check whether a level is empty or a covariate repeats another",
		})
	}
	return out, warnings
}

// Equal reports whether all weights are the same.
func Equal(w []float64) bool {
	for _, v := range w {
		if v != w[0] {
			return false
		}
	}
	return true
}
