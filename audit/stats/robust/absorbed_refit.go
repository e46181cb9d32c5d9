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
	out.outcome(f.fit.With(y))
	if s, ok := f.variance().(*sandwich.BlockSandwich); ok {
		out.robust = s.With(out.fit)
	}
	return &out, nil
}

// Keeping fits the same model among some of the clusters, by their ids. A group goes
// with its cluster, so that what is left keeps the means it was freed of. An error
// where nothing is left.
func (f *AbsorbedFit) Keeping(keep func(cluster int) bool) (*AbsorbedFit, error) {
	stay := make([]int, 0, f.Clusters)
	for k := range f.Clusters {
		if keep(f.id(k)) {
			stay = append(stay, k)
		}
	}
	if len(stay) == 0 {
		return nil, fmt.Errorf("stats: no rows to fit")
	}
	some, rows := f.fit.Blocks().Among(stay)
	m := AbsorbedModel{Names: f.Names, Root: f.Root, Weights: rowsOf(f.model.Weights, rows), Y: rowsOf(f.model.Y, rows), Cluster: rowsOf(f.model.Cluster, rows)}
	return m.describe(some.Products(m.Y).Fit(f.fit.Columns())), nil
}

// rowsOf takes rows; nil of nil.
func rowsOf[T any](from []T, which []int) []T {
	if from == nil {
		return nil
	}
	out := make([]T, len(which))
	for r, i := range which {
		out[r] = from[i]
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
