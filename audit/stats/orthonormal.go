package stats

import (
	"fmt"
	"math"
	"slices"
)

// rankTolerance is the share of a column's length that must be left after
// projection on the columns before it for the column to count as new; the
// value is that of R's lm.
const rankTolerance = 1e-7

// clustering groups rows: those of cluster g are start[g] <= k < start[g+1],
// through order where rows do not come sorted.
type clustering struct {
	start []int
	order []int // nil: row k is row k
}

func newClustering(n int, cluster []int) clustering {
	if cluster == nil {
		c := clustering{start: make([]int, n+1)}
		for i := range c.start {
			c.start[i] = i
		}
		return c
	}
	if slices.IsSorted(cluster) {
		return sortedClustering(cluster)
	}
	index, m := clusterIndex(cluster)
	counts := make([]int, m+1)
	for _, k := range index {
		counts[k+1]++
	}
	for k := range m {
		counts[k+1] += counts[k]
	}
	c := clustering{start: []int{0}}
	for k := range m { // ids may leave gaps
		if counts[k+1] > counts[k] {
			c.start = append(c.start, counts[k+1])
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
func sortedClustering(cluster []int) clustering {
	runs := 0
	for i := range cluster {
		if i == 0 || cluster[i] != cluster[i-1] {
			runs++
		}
	}
	c := clustering{start: make([]int, 1, runs+1)}
	for i := 1; i <= len(cluster); i++ {
		if i == len(cluster) || cluster[i] != cluster[i-1] {
			c.start = append(c.start, i)
		}
	}
	return c
}

func (c clustering) count() int { return len(c.start) - 1 }

func (c clustering) row(k int) int {
	if c.order == nil {
		return k
	}
	return c.order[k]
}

// orthonormal is a design matrix seen through T = W^(1/2) X L, whose columns
// are orthonormal. L is the inverse of the triangular factor of the QR
// decomposition, so (X'WX)^-1 = L L'. All later work is done in coordinates
// of T, where cross-products are safe to form.
type orthonormal struct {
	n, p    int
	width   int   // columns of x
	cols    []int // the p columns kept
	dropped []int // columns that depend on those before them
	alias   []float64
	x       []float64
	rootW   []float64 // nil: ones
	l       []float64 // p x p, upper triangular
	coef    []float64 // p least-squares coefficients
	resid   []float64 // n residuals y - Xb, not weighted
	rss     float64   // weighted
	t       []float64 // the rows of T; nil where that is too much memory
	arena   *Arena    // nil: own memory
}

// newOrthonormal decomposes [W^(1/2)X, W^(1/2)y]: through the Cholesky factor
// of the cross-products where the columns are far from dependent (see
// gramFactor), else by Householder reflections, block of rows by block of rows
// (Golub & Van Loan 2013, Matrix Computations, 4th ed., sections 5.2.2 and
// 5.1.8: the result is the same as that of scaled columns). It drops dependent
// columns, and polishes the coefficients with one step of refinement (Bjorck
// 1996, Numerical Methods for Least Squares Problems, 6.6.5, corrected
// seminormal equations). Cost n width^2 / 2 or 2 n width^2.
func newOrthonormal(x, y, rootW []float64, width int) *orthonormal {
	return (&orthonormal{n: len(y), width: width, x: x, rootW: rootW}).decompose(y)
}

func (o *orthonormal) decompose(y []float64) *orthonormal {
	r, ok := gramFactor(o.x, y, o.rootW, o.width)
	if !ok {
		r = streamQR(o.x, y, o.rootW, o.width)
	}
	return o.solve(r, y)
}

// solve fills everything from the triangle of [X y].
func (o *orthonormal) solve(r, y []float64) *orthonormal {
	o.triangularise(r)
	o.keepRows()
	o.resid = o.arena.Floats(o.n)
	o.rss = o.residuals(y)
	step := make([]float64, o.p)
	own := make([]float64, o.p)
	for i, e := range o.resid {
		axpy(e*o.weightRoot(i), o.rowOf(i, own), step)
	}
	for a := range o.p {
		o.coef[a] += dot(o.l[a*o.p+a:(a+1)*o.p], step[a:])
	}
	o.rss = o.residuals(y)
	return o
}

func (o *orthonormal) weightRoot(i int) float64 {
	if o.rootW == nil {
		return 1
	}
	return o.rootW[i]
}

// row writes row i of T = W^(1/2) X L into t.
func (o *orthonormal) row(i int, t []float64) {
	o.project(o.x[i*o.width:(i+1)*o.width], t)
	if o.rootW != nil {
		scale(o.rootW[i], t)
	}
}

// keepRows keeps T, unless it is too large.
func (o *orthonormal) keepRows() {
	if o.n*o.p > cacheLimit {
		return
	}
	t := o.arena.Floats(o.n * o.p)
	for i := range o.n {
		o.row(i, t[i*o.p:(i+1)*o.p])
	}
	o.t = t
}

// rowOf is row i of T, not to be changed; own is its place where T is not kept.
func (o *orthonormal) rowOf(i int, own []float64) []float64 {
	if o.t != nil {
		return o.t[i*o.p : (i+1)*o.p]
	}
	o.row(i, own)
	return own
}

// project writes L'x into t for one row x of the full width.
func (o *orthonormal) project(x, t []float64) {
	clear(t)
	p := o.p
	for a, col := range o.cols {
		if v := x[col]; v != 0 {
			axpy(v, o.l[a*p+a:(a+1)*p], t[a:])
		}
	}
}

func (o *orthonormal) residuals(y []float64) (rss float64) {
	for i := range o.n {
		x := o.x[i*o.width : (i+1)*o.width]
		e := y[i]
		for a, col := range o.cols {
			e -= x[col] * o.coef[a]
		}
		o.resid[i] = e
		e *= o.weightRoot(i)
		rss += e * e
	}
	return rss
}

// coordinates gives L'c for a contrast c over all columns; ok is false where
// c'b is not estimable, that is, where c is not in the row space of X.
func (o *orthonormal) coordinates(c []float64) (l []float64, ok bool) {
	size := 0.0
	for _, v := range c {
		size = math.Max(size, math.Abs(v))
	}
	for k, col := range o.dropped { // X_dropped = X_kept A, so c_dropped must be A'c_kept
		want := 0.0
		reach := size
		for a, kept := range o.cols {
			term := o.alias[k*o.p+a] * c[kept]
			want += term
			reach = math.Max(reach, math.Abs(term))
		}
		if math.Abs(want-c[col]) > 1e-6*reach {
			return nil, false
		}
	}
	l = make([]float64, o.p)
	o.project(c, l)
	return l, true
}

// value is c'b over the kept columns.
func (o *orthonormal) value(c []float64) (v float64) {
	for a, col := range o.cols {
		v += c[col] * o.coef[a]
	}
	return v
}

// size is the length of W^(1/2)y: sqrt(RSS + gamma'gamma), gamma = T'W^(1/2)y from
// L gamma = coef.
func (o *orthonormal) size() float64 {
	p, sum := o.p, o.rss
	gamma := append([]float64(nil), o.coef...)
	for a := p - 1; a >= 0; a-- {
		gamma[a] -= dot(o.l[a*p+a+1:(a+1)*p], gamma[a+1:])
		gamma[a] /= o.l[a*p+a]
		sum += gamma[a] * gamma[a]
	}
	return math.Sqrt(sum)
}

// unproject gives the covariance of all coefficients, width x width, from one
// in coordinates of T: L A L', with NaN for dropped columns.
func (o *orthonormal) unproject(a []float64) []float64 {
	p, w := o.p, o.width
	out := nanMatrix(w)
	left := make([]float64, p)
	for i, ci := range o.cols {
		clear(left)
		for k := i; k < p; k++ {
			axpy(o.l[i*p+k], a[k*p:(k+1)*p], left)
		}
		for j, cj := range o.cols {
			out[ci*w+cj] = dot(left[j:], o.l[j*p+j:(j+1)*p])
		}
	}
	return out
}

// checkDesign refuses shapes that do not fit and numbers that are not finite.
func checkDesign(names []string, x, y []float64, cluster []int) error {
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
	for i, v := range y {
		if !inRange(v) {
			return outOfRange(fmt.Sprintf("outcome of row %d", i), v)
		}
	}
	for i, v := range x {
		if !inRange(v) {
			return outOfRange(fmt.Sprintf("row %d, column %q", i/p, names[i%p]), v)
		}
	}
	return nil
}

func checkWeights(n int, weights []float64) error {
	if weights == nil {
		return nil
	}
	if len(weights) != n {
		return fmt.Errorf("stats: %d rows but %d weights", n, len(weights))
	}
	for i, w := range weights {
		if !(w > 0 && w <= largest) {
			return fmt.Errorf("stats: weight of row %d is %v: expected a positive number; leave rows of no weight out", i, w)
		}
	}
	return nil
}

func roots(w []float64) []float64 { return rootsIn(nil, w) }

func rootsIn(a *Arena, w []float64) []float64 {
	if w == nil {
		return nil
	}
	out := a.Floats(len(w))
	for i, v := range w {
		out[i] = math.Sqrt(v)
	}
	return out
}
