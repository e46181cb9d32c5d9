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
	var flat bool
	out.within.y, flat = f.within.outcome(f.model.Arena, y, f.design.Group)
	out.within.flat = f.within.flat || flat
	out.outcome(f.design.O.With(out.within.y))
	if s, ok := f.variance().(*sandwich.PlainSandwich); ok {
		out.robust = s.With(out.design.O)
	}
	return &out, nil
}

// Keeping fits the same model among some of the clusters, by their ids. A group goes
// with its cluster, so that what is left keeps the means it was freed of. An error
// where nothing is left. See BenchmarkKeeping.
func (f *AbsorbedFit) Keeping(keep func(cluster int) bool) (*AbsorbedFit, error) {
	stays, o, w, err := f.part(keep)
	if err != nil {
		return nil, err
	}
	m := f.among(stays)
	if o == nil {
		return FitAbsorbed(m)
	}
	var groups int
	m.Group, groups = compact(m.Arena, m.Group)
	w.size = largest(m.X, len(m.Names))
	w.share, w.total = rowsOf(m.Arena.Room, f.within.share, 1, stays), m.Arena.Floats(groups)
	for r, i := range stays {
		w.total[m.Group[r]] = f.within.total[f.design.Group[i]]
	}
	return m.fit(o.Decompose(w.y), w, m.Group, groups), nil
}

// among is the model on some of its rows.
func (f *AbsorbedFit) among(stays []int) AbsorbedModel {
	m, a := f.model, f.model.Arena
	return AbsorbedModel{
		Names: m.Names, Root: m.Root, Arena: a, X: rowsOf(a.Room, m.X, len(m.Names), stays), Y: rowsOf(a.Room, m.Y, 1, stays),
		Weights: rowsOf(a.Room, m.Weights, 1, stays), Cluster: rowsOf(a.Ints, m.Cluster, 1, stays), Group: rowsOf(a.Ints, f.design.Group, 1, stays),
	}
}

// part lists the rows of the clusters that stay and takes them from the design. o is
// nil where a column varies in no group, with or without the others: that is for all
// rows of a fit to judge.
func (f *AbsorbedFit) part(keep func(cluster int) bool) (stays []int, o *sandwich.Orthonormal, w within, err error) {
	if f.model.Spent {
		return nil, nil, w, fmt.Errorf("stats: the rows of this fit are spent")
	}
	a := f.model.Arena
	stays = a.Ints(f.N)[:0]
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
	if len(stays) == 0 {
		return nil, nil, w, fmt.Errorf("stats: no rows to fit")
	}
	width := len(f.Names)
	w = within{x: rowsOf(a.Room, f.within.x, width, stays), y: rowsOf(a.Room, f.within.y, 1, stays)}
	if f.within.flat || flatAmong(f.model.X, w.x, width, stays) || flatAmong(f.model.Y, w.y, 1, stays) {
		return stays, nil, w, nil
	}
	return stays, &sandwich.Orthonormal{N: len(stays), Width: width, X: w.x, RootW: rowsOf(a.Room, f.design.O.RootW, 1, stays), Arena: a}, w, nil
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
