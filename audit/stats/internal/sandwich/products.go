package sandwich

import (
	"math"
	"slices"
	"sort"

	"shortfall/audit/stats/internal/numeric"
)

// Products are the cross-products of blocks and an outcome: a fit on some of the columns
// then costs no sum over the rows but those of its residuals.
type Products struct {
	*Blocks
	y     []float64 // by coordinate, as Blocks.Outcome gives it
	g     []float64 // upper triangle of [X y]'[X y]
	shown [][][]int // by column: the columns on which the rows showed it to depend
}

// Products sums the cross-products.
func (b *Blocks) Products(y []float64) *Products {
	p := &Products{Blocks: b, y: b.Outcome(y), shown: make([][][]int, b.Width)}
	q := p.Width + 1
	p.g = make([]float64, q*q)
	for g := range p.Clusters() {
		cols, values, _, _ := p.block(g)
		addProducts(cols, values, q, p.g)
	}
	p.addOutcome()
	return p
}

// With are those of another outcome.
func (p *Products) With(y []float64) *Products {
	out := *p
	out.y, out.g = p.Outcome(y), slices.Clone(p.g)
	q := p.Width + 1
	for j := range q {
		out.g[j*q+p.Width] = 0
	}
	out.addOutcome()
	return &out
}

// addOutcome adds the products with the outcome.
func (p *Products) addOutcome() {
	sums := make([]float64, p.Width)
	for g := range p.Clusters() {
		cols, values, from, n := p.block(g)
		addTo(cols, values, p.y[from:from+n], sums)
	}
	p.withOutcome(p.g, sums, numeric.Dot(p.y, p.y))
}

// withOutcome adds them to cross-products of columns.
func (p *Products) withOutcome(g, sums []float64, own float64) {
	q := p.Width + 1
	for j, v := range sums {
		g[j*q+q-1] += v
	}
	g[q*q-1] += own
}

// among are the cross-products of some coordinates, in rising order.
func (p *Products) among(at []int) []float64 {
	q, own := p.Width+1, 0.0
	g, sums := make([]float64, q*q), make([]float64, p.Width)
	for len(at) > 0 {
		c := sort.SearchInts(p.Start, at[0]+1) - 1
		cols, all, from, n := p.block(c)
		run := 1 // of the cluster, one after the other
		for run < len(at) && at[run] == at[0]+run && at[run] < from+n {
			run++
		}
		values, y := all[(at[0]-from)*len(cols):][:run*len(cols)], p.y[at[0]:at[0]+run]
		addProducts(cols, values, q, g)
		addTo(cols, values, y, sums)
		own += numeric.Dot(y, y)
		at = at[run:]
	}
	p.withOutcome(g, sums, own)
	return g
}

// Fit is the fit on some of the columns, in their order.
func (p *Products) Fit(cols []int) *BlockFit {
	f := &BlockFit{Solution: Solution{Width: len(cols)}, p: p, cols: cols}
	if r := p.factor(p.g, cols); r != nil {
		f.apart = true
		f.triangularise(r.r)
	} else {
		x, y := p.dense(cols, nil)
		f.triangularise(numeric.StreamQR(x, y, nil, len(cols)))
	}
	f.polish()
	return f
}

// dense writes some coordinates, nil: all, on some of the columns, one after the other.
func (p *Products) dense(cols []int, some func(at int) bool) (x, y []float64) {
	number := make([]int, p.Width) // of each column in the block, +1
	for g := range p.Clusters() {
		own, values, from, n := p.block(g)
		for c, j := range own {
			number[j] = c + 1
		}
		for k := range n {
			if some != nil && !some(from+k) {
				continue
			}
			for _, j := range cols {
				v := 0.0
				if c := number[j]; c > 0 {
					v = values[k*len(own)+c-1]
				}
				x = append(x, v)
			}
			y = append(y, p.y[from+k])
		}
		for _, j := range own {
			number[j] = 0
		}
	}
	return x, y
}

// mostSubtracted is the share of a column's length up to which rows are taken off: what
// is left keeps fourteen digits of its sums.
const mostSubtracted = 0.99

// nothing is the square of the share of a column that must be left among some of the
// rows for it to vary there at all; below it is rounding.
const nothing = 1e-20

// Coef gives the coefficients of a fit on some of the columns, without the step of
// refinement where cross-products make it.
func (p *Products) Coef(cols []int) []float64 {
	r := p.factor(p.g, cols)
	if r == nil {
		return p.Fit(cols).Coefficients()
	}
	o := &Solution{Width: len(cols)}
	o.triangularise(r.r)
	return o.Coefficients()
}

// CoefWithout gives the coefficients of a fit on some of the columns without some of the
// rows, in rising order: all those of the groups whose means were taken out. NaN for
// columns that depend on those before them.
func (p *Products) CoefWithout(cols, leave []int) []float64 {
	g := slices.Clone(p.g)
	off, q := p.among(p.coordinates(leave)), p.Width+1
	for i, v := range off {
		g[i] -= v
	}
	for j := range q {
		if off[j*q+j] > mostSubtracted*p.g[j*q+j] {
			g = p.among(p.others(leave))
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
		left := p.others(leave)
		x, y := p.dense(cols, func(k int) bool { _, stays := slices.BinarySearch(left, k); return stays })
		return (&Orthonormal{Solution: Solution{Width: len(cols)}, N: len(y), X: x}).Decompose(y).Coefficients()
	}
	o := &Solution{Width: len(cols)}
	o.triangularise(f.r)
	return o.Coefficients()
}

// coordinates of the groups that leave with their rows, rising.
func (p *Products) coordinates(rows []int) []int {
	leave := make([]bool, p.Rows())
	for _, i := range rows {
		leave[i] = true
	}
	out := make([]int, 0, len(rows))
	for r := range p.Groups() {
		if leave[p.Row(p.runs[r])] {
			for k := p.at(r); k < p.at(r+1); k++ {
				out = append(out, k)
			}
		}
	}
	return out
}

// others are the coordinates of the rows that are not listed.
func (p *Products) others(rows []int) []int {
	leave := p.coordinates(rows)
	out := make([]int, 0, p.Size()-len(leave))
	for k := range p.Size() {
		if len(leave) > 0 && leave[0] == k {
			leave = leave[1:]
			continue
		}
		out = append(out, k)
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
	by, less := make([]float64, len(f.kept)), make([]float64, p.Width)
	f.combination(k, by)
	less[j] = 1
	for a, i := range f.kept {
		if i < k {
			on = append(on, cols[i])
			less[cols[i]] -= by[a]
		}
	}
	if !(p.combined(less) <= rankTolerance*rankTolerance*p.g[j*(p.Width+1)+j]) {
		return false
	}
	p.shown[j] = append(p.shown[j], on)
	return true
}

// combined is the squared length of a combination of columns.
func (p *Products) combined(by []float64) float64 {
	nothing, e := make([]float64, p.Size()), make([]float64, p.Size())
	for g := range p.Clusters() {
		cols, values, from, n := p.block(g)
		subtract(cols, values, nothing[from:from+n], by, e[from:from+n])
	}
	return numeric.Dot(e, e)
}

// Coefficients of all columns, NaN for dropped ones.
func (o *Solution) Coefficients() []float64 {
	out := make([]float64, o.Width)
	for i := range out {
		out[i] = math.NaN()
	}
	for a, col := range o.Cols {
		out[col] = o.Coef[a]
	}
	return out
}
