package sandwich

import (
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
	f.residuals()
	all, left, step := make([]float64, f.p.Width), make([]float64, f.P), make([]float64, f.P)
	for g := range f.p.Clusters() {
		cols, values, from, n := f.p.block(g)
		addTo(cols, values, f.resid[from:from+n], all)
	}
	for a, col := range f.Cols {
		left[a] = all[f.cols[col]]
	}
	for j := range step { // L'X'e, then L of it
		for i := range j + 1 {
			step[j] += f.L[i*f.P+j] * left[i]
		}
	}
	for a := range f.P {
		f.Coef[a] += numeric.Dot(f.L[a*f.P+a:(a+1)*f.P], step[a:])
	}
	f.residuals()
	f.RSS = numeric.Dot(f.resid, f.resid)
}

// residuals fills them.
func (f *BlockFit) residuals() {
	by := make([]float64, f.p.Width)
	for a, col := range f.Cols {
		by[f.cols[col]] = f.Coef[a]
	}
	for g := range f.p.Clusters() {
		cols, values, from, n := f.p.block(g)
		subtract(cols, values, f.p.y[from:from+n], by, f.resid[from:from+n])
	}
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
		cols, values, from, _ := b.block(g)
		for r := b.first[g]; r < b.first[g+1]; r++ {
			if varies(cols, in, values[(b.at(r)-from)*len(cols):(b.at(r+1)-from)*len(cols)]) {
				out[g] += b.runs[r+1] - b.runs[r]
			}
		}
	}
	return out
}

// varies reports whether any of the columns that are in has another value than zero.
func varies(cols []int32, in []bool, values []float64) bool {
	for c, j := range cols {
		for at := c; in[j] && at < len(values); at += len(cols) {
			if values[at] != 0 {
				return true
			}
		}
	}
	return false
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

// load reads the columns of cluster g that the fit keeps, by their numbers, and their
// values, one coordinate after the other.
func (v *view) load(f *BlockFit, g int) {
	cols, all, from, n := f.p.block(g)
	v.g, v.from, v.k = g, from, n
	v.kept, v.x = v.kept[:0], all
	for _, j := range cols {
		if a := f.place[j]; a >= 0 {
			v.kept = append(v.kept, a)
		}
	}
	if len(v.kept) == len(cols) {
		return
	}
	v.own = resize(v.own, n*len(v.kept))
	at := 0
	for c, j := range cols {
		if f.place[j] >= 0 {
			for k := range n {
				v.own[k*len(v.kept)+at] = all[k*len(cols)+c]
			}
			at++
		}
	}
	v.x = v.own
}
