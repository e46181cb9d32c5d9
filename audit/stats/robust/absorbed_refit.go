package robust

import (
	"fmt"
	"slices"

	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/sandwich"
)

// Refit fits other outcomes, one a row, on the same rows and columns. What the
// design alone decides (its decomposition, the small-sample correction, degrees of
// freedom) is shared, so that it costs a part of a fit; every number is that of
// FitAbsorbed. An error where the outcomes do not fit or are not finite. See
// BenchmarkRefit.
func (f *AbsorbedFit) Refit(y []float64) (*AbsorbedFit, error) {
	if len(y) != f.N {
		return nil, fmt.Errorf("stats: %d outcomes for %d rows", len(y), f.N)
	}
	for i, v := range y {
		if !bycase.InRange(v) {
			return nil, bycase.OutOfRange(fmt.Sprintf("outcome of row %d", i), v)
		}
	}
	out := *f
	out.model.Y = y
	out.within.y = f.within.outcome(f.model.Arena, y, f.design.Group)
	out.outcome(f.design.O.With(out.within.y))
	if s, ok := f.variance().(*sandwich.PlainSandwich); ok {
		out.robust = s.With(out.design.O)
	}
	return &out, nil
}

// Keeping fits the same model among some of the clusters, by their ids. A group goes
// with its cluster, so that what is left keeps the means it was freed of. An error
// where nothing is left.
func (f *AbsorbedFit) Keeping(keep func(cluster int) bool) (*AbsorbedFit, error) {
	a, width := f.model.Arena, len(f.Names)
	stays := f.staying(keep)
	if len(stays) == 0 {
		return nil, fmt.Errorf("stats: no rows to fit")
	}
	m := AbsorbedModel{
		Names: f.Names, Root: f.Root, Arena: a, Spent: true,
		Y: rowsOf(a.Room, f.model.Y, 1, stays), Weights: rowsOf(a.Room, f.model.Weights, 1, stays), Cluster: rowsOf(a.Ints, f.model.Cluster, 1, stays),
	}
	group, groups := compact(a, rowsOf(a.Ints, f.design.Group, 1, stays))
	w := within{
		x: rowsOf(a.Room, f.within.x, width, stays), y: rowsOf(a.Room, f.within.y, 1, stays),
		share: rowsOf(a.Room, f.within.share, 1, stays), total: a.Floats(groups), size: f.within.size,
	}
	for r, i := range stays {
		w.total[group[r]] = f.within.total[f.design.Group[i]]
	}
	flatten(w.size, w.x, width)
	flatten(largest(f.model.Y, 1), w.y, 1)
	o := &sandwich.Orthonormal{N: len(stays), Width: width, X: w.x, RootW: rowsOf(a.Room, f.design.O.RootW, 1, stays), Arena: a}
	return m.fit(o.Decompose(w.y), w, group, groups), nil
}

// staying lists the rows of the clusters that are kept.
func (f *AbsorbedFit) staying(keep func(cluster int) bool) []int {
	stays := f.model.Arena.Ints(f.N)[:0]
	for i := 0; i < f.N; {
		from := i
		for i++; i < f.N && f.model.Cluster[i] == f.model.Cluster[from]; i++ {
		}
		if keep(f.model.Cluster[from]) {
			for k := from; k < i; k++ {
				stays = append(stays, k)
			}
		}
	}
	return stays
}

// rowsOf takes rows of width values into memory; nil of nil.
func rowsOf[T any](memory func(n int) []T, from []T, width int, which []int) []T {
	if from == nil {
		return nil
	}
	out := memory(len(which) * width)
	if width == 1 {
		for r, i := range which {
			out[r] = from[i]
		}
		return out
	}
	for r, i := range which {
		copy(out[r*width:(r+1)*width], from[i*width:(i+1)*width])
	}
	return out
}

// Without fits the same model without one cluster. An error where none of its
// rows are there, or nothing is left.
func (f *AbsorbedFit) Without(cluster int) (*AbsorbedFit, error) {
	if !slices.Contains(f.model.Cluster, cluster) {
		return nil, fmt.Errorf("stats: no rows of cluster %d to leave out", cluster)
	}
	return f.Keeping(func(c int) bool { return c != cluster })
}
