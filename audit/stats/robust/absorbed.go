package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/sandwich"
)

// Root says on which rows the CR2 variance of a weighted design takes its root.
type Root int

// The roots. They agree where all weights are equal.
const (
	// WeightedRows takes rows times the root of their weight as homoscedastic:
	// the weights are inverse variances up to a factor.
	WeightedRows Root = iota
	// IdentityTarget takes the rows themselves as homoscedastic, whatever the
	// weights: the default of R's clubSandwich for a weighted lm.
	IdentityTarget
)

// String is fit for print.
func (r Root) String() string {
	switch r {
	case WeightedRows:
		return "square-root-weighted rows"
	case IdentityTarget:
		return "equal working variances (clubSandwich's default for a weighted lm)"
	}
	return fmt.Sprintf("Root(%d)", int(r))
}

// AbsorbedModel is a weighted linear model in which every group has a level of
// its own, taken out (absorbed): only what varies within groups is compared.
type AbsorbedModel struct {
	Names   []string  // one a column of X; no intercept
	X       []float64 // row-major, len(Y) rows of len(Names) columns
	Y       []float64
	Weights []float64 // positive; nil = 1
	Group   []int     // whose level is absorbed (a case, or a course of a case); nil = Cluster
	Cluster []int     // independent units (cases); each group lies within one
	Root    Root
	// Spent gives X away: the fit works in its place.
	Spent bool
	// Arena lends the memory of the fit, which is then good until its Reset; nil: its own.
	Arena *stats.Arena
}

// AbsorbedFit is a within-group least-squares fit with its CR2 variance by cluster.
type AbsorbedFit struct {
	Names    []string
	Dropped  []string  // columns that do not vary within any group, or depend on those before
	Coef     []float64 // one a column; NaN for dropped ones
	N        int       // rows
	Groups   int
	Clusters int
	Rank     int     // columns kept, without the groups' levels
	RSS      float64 // weighted residual sum of squares
	DF       float64 // N - Groups - Rank
	Root     Root
	Warnings []stats.Warning

	model    AbsorbedModel
	design   sandwich.Absorbed
	clusters sandwich.Clustering
	robust   sandwich.Sandwich // nil until it is asked for
	within   within
	who      *contributors
}

// FitAbsorbed fits by weighted least squares after taking from every column its
// weighted mean within the group, which gives the coefficients of the model with a
// dummy for each group (Frisch & Waugh 1933, Econometrica 1:387-401; Lovell 1963,
// JASA 58:993-1010) and, the groups lying within clusters, its CR2 variance and
// degrees of freedom too: of weighted rows by theorem 2 of Pustejovsky & Tipton
// (2018, JBES 36:672-683), of the other root with the dummies' part added. Cost
// grows linearly with rows; the second root also with the square of a cluster's
// rows. An error is a mistake of the caller: shapes that do not fit, numbers that
// are not finite, weights that are not positive, a group in two clusters.
func FitAbsorbed(m AbsorbedModel) (*AbsorbedFit, error) {
	if m.Group == nil {
		m.Group = m.Cluster
	}
	if err := m.check(); err != nil {
		return nil, err
	}
	group, groups := compact(m.Arena, m.Group)
	w := m.within(group, groups)
	if m.Spent {
		m.X = nil
	}
	o := (&sandwich.Orthonormal{N: len(m.Y), Width: len(m.Names), X: w.x, RootW: sandwich.RootsIn(m.Arena, m.Weights), Arena: m.Arena}).Decompose(w.y)
	return m.fit(o, w, group, groups), nil
}

// fit describes a decomposed model.
func (m AbsorbedModel) fit(o *sandwich.Orthonormal, w within, group []int, groups int) *AbsorbedFit {
	f := &AbsorbedFit{
		Names: m.Names, N: o.N, Groups: groups, Rank: o.P,
		DF: float64(o.N - groups - o.P), Root: m.Root, model: m, within: w, who: &contributors{},
		design: sandwich.Absorbed{Group: group, Weight: w.total}, clusters: sandwich.NewClustering(len(m.Y), m.Cluster),
	}
	f.Clusters = f.clusters.Count()
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, o.Dropped)
	f.outcome(o)
	return f
}

// outcome takes the coefficients from a decomposition.
func (f *AbsorbedFit) outcome(o *sandwich.Orthonormal) {
	f.design.O, f.RSS, f.Coef, f.robust = o, o.RSS, coefficients(o), nil
}

// coefficients of all columns, NaN for dropped ones.
func coefficients(o *sandwich.Orthonormal) []float64 {
	out := make([]float64, o.Width)
	for i := range out {
		out[i] = math.NaN()
	}
	for a, col := range o.Cols {
		out[col] = o.Coef[a]
	}
	return out
}

// variance between clusters; nil where there is none, as Contrast says.
func (f *AbsorbedFit) variance() sandwich.Sandwich {
	switch o := f.design.O; {
	case f.robust != nil || f.Clusters < 2 || o.P == 0:
	case f.plain():
		f.robust = sandwich.NewPlainSandwich(o, f.clusters, stats.CR2)
	default:
		f.robust = sandwich.NewAbsorbedSandwich(f.design, f.clusters)
	}
	return f.robust
}

// plain reports weights that are inverse variances.
func (f *AbsorbedFit) plain() bool { return f.Root == WeightedRows || sandwich.Equal(f.model.Weights) }

func (m AbsorbedModel) check() error {
	if m.Cluster == nil {
		return fmt.Errorf("stats: an absorbed model needs cluster ids")
	}
	if m.Root != WeightedRows && m.Root != IdentityTarget {
		return fmt.Errorf("stats: unknown root %v", m.Root)
	}
	if err := sandwich.CheckDesign(m.Names, m.X, m.Y, m.Cluster); err != nil {
		return err
	}
	if err := sandwich.CheckWeights(len(m.Y), m.Weights); err != nil {
		return err
	}
	if len(m.Group) != len(m.Y) {
		return fmt.Errorf("stats: %d rows but %d group ids", len(m.Y), len(m.Group))
	}
	mark := m.Arena.Mark()
	defer m.Arena.Release(mark)
	index, n := bycase.IndexIn(m.Arena, m.Group)
	home := m.Arena.Ints(n) // row of each group, +1
	for i, g := range index {
		if r := home[g]; r == 0 {
			home[g] = i + 1
		} else if c := m.Cluster[r-1]; c != m.Cluster[i] {
			return fmt.Errorf("stats: group %d of row %d lies in clusters %d and %d: expected each group within one cluster", m.Group[i], i, c, m.Cluster[i])
		}
	}
	return nil
}

// compact numbers ids 0..m-1 in their order, without gaps.
func compact(arena *stats.Arena, ids []int) (index []int, m int) {
	index, n := bycase.IndexIn(arena, ids)
	place := arena.Ints(n) // +1
	for _, k := range index {
		place[k] = 1
	}
	for k, seen := range place {
		if seen > 0 {
			m++
			place[k] = m
		}
	}
	for i, k := range index {
		index[i] = place[k] - 1
	}
	return index, m
}

func (m AbsorbedModel) weight(i int) float64 {
	if m.Weights == nil {
		return 1
	}
	return m.Weights[i]
}
