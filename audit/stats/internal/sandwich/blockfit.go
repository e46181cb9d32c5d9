package sandwich

import (
	"slices"

	"shortfall/audit/stats/internal/numeric"
)

// BlockFit is a least-squares fit on some of the columns of blocks.
type BlockFit struct {
	Solution
	p     *Products
	cols  []int     // of the blocks
	place []int32   // by column of the blocks: its number among those kept, -1 for none
	resid []float64 // weighted, by coordinate
	apart bool      // columns are far from depending: cross-products may be formed of them
}

// Blocks are those of the fit.
func (f *BlockFit) Blocks() *Blocks { return f.p.Blocks }

// Columns are those of the blocks that the fit is on.
func (f *BlockFit) Columns() []int { return f.cols }

// With is the same fit of another outcome.
func (f *BlockFit) With(y []float64) *BlockFit { return f.p.With(y).Fit(f.cols) }

// polish fills the residuals and takes one step of refinement, L L'X'We.
func (f *BlockFit) polish() {
	f.place = make([]int32, f.p.Width)
	for j := range f.place {
		f.place[j] = -1
	}
	for a, col := range f.Cols {
		f.place[f.cols[col]] = int32(a)
	}
	f.resid = f.p.arena.Room(f.p.Size())
	left, step := make([]float64, f.P), make([]float64, f.P)
	f.residuals(left)
	for j := range step { // L'X'e, then L of it
		for i := range j + 1 {
			step[j] += f.L[i*f.P+j] * left[i]
		}
	}
	for a := range f.P {
		f.Coef[a] += numeric.Dot(f.L[a*f.P+a:(a+1)*f.P], step[a:])
	}
	f.RSS = f.residuals(nil)
}

// residuals fills them, and X'We where it is wanted.
func (f *BlockFit) residuals(left []float64) (rss float64) {
	for g := range f.p.Clusters() {
		cols, values, from, n := f.p.block(g)
		if n == 1 {
			rss += f.residual(from, cols, values, left)
			continue
		}
		e := f.resid[from : from+n]
		copy(e, f.p.y[from:from+n])
		for c, j := range cols {
			if a := f.place[j]; a >= 0 {
				numeric.Axpy(-f.Coef[a], values[c*n:(c+1)*n], e)
			}
		}
		rss += numeric.Dot(e, e)
		for c, j := range cols {
			if a := f.place[j]; a >= 0 && left != nil {
				left[a] += numeric.Dot(values[c*n:(c+1)*n], e)
			}
		}
	}
	return rss
}

// residual is residuals of a cluster of one coordinate.
func (f *BlockFit) residual(at int, cols []int32, values, left []float64) float64 {
	e := f.p.y[at]
	for c, j := range cols {
		if a := f.place[j]; a >= 0 {
			e -= f.Coef[a] * values[c]
		}
	}
	f.resid[at] = e
	if left != nil {
		for c, j := range cols {
			if a := f.place[j]; a >= 0 {
				left[a] += values[c] * e
			}
		}
	}
	return e * e
}

// Contributing counts, for each cluster, the rows of groups within which the columns of a
// contrast vary.
func (f *BlockFit) Contributing(c []float64) []int {
	b := f.p.Blocks
	in := make([]bool, b.Width)
	for k, v := range c {
		in[f.cols[k]] = in[f.cols[k]] || v != 0
	}
	out := make([]int, b.Clusters())
	for g := range out {
		cols, values, from, n := b.block(g)
		for r := b.first[g]; r < b.first[g+1]; r++ {
			start, end := b.at(r)-from, b.at(r+1)-from
			for k, j := range cols {
				if in[j] && slices.ContainsFunc(values[k*n+start:k*n+end], func(v float64) bool { return v != 0 }) {
					out[g] += b.runs[r+1] - b.runs[r]
					break
				}
			}
		}
	}
	return out
}

// Absorbed is the design row by row, in order of places, for what needs them so.
func (f *BlockFit) Absorbed() (Absorbed, Clustering) {
	b, w := f.p.Blocks, len(f.cols)
	z, _ := f.p.dense(f.cols, nil)
	x, resid := b.spelt(z, w), b.spelt(f.resid, 1)
	if b.root != nil {
		for k, root := range b.root {
			numeric.Scale(1/root, x[k*w:(k+1)*w])
			resid[k] /= root
		}
	}
	group := make([]int, b.Rows())
	for r := range b.Groups() {
		for k := b.runs[r]; k < b.runs[r+1]; k++ {
			group[k] = r
		}
	}
	o := &Orthonormal{Solution: f.Solution, N: b.Rows(), X: x, RootW: b.root, Resid: resid, Arena: b.arena}
	start := make([]int, len(b.first))
	for g, r := range b.first {
		start[g] = b.runs[r]
	}
	return Absorbed{O: o, Group: group, Weight: b.total}, Clustering{Start: start}
}

// load reads the columns of cluster g that the fit keeps, by their numbers, and
// their values.
func (f *BlockFit) load(g int, kept []int, values [][]float64) ([]int, [][]float64) {
	cols, all, _, n := f.p.block(g)
	kept, values = kept[:0], values[:0]
	for c, j := range cols {
		if a := f.place[j]; a >= 0 {
			kept, values = append(kept, int(a)), append(values, all[c*n:(c+1)*n])
		}
	}
	return kept, values
}
