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
	robust   sandwich.Sandwich
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
	group, groups := compact(m.Group)
	x, y, total := m.within(group, groups)
	o := (&sandwich.Orthonormal{N: len(y), Width: len(m.Names), X: x, RootW: sandwich.Roots(m.Weights)}).Decompose(y)
	f := &AbsorbedFit{
		Names: m.Names, Coef: make([]float64, len(m.Names)), N: o.N, Groups: groups, Rank: o.P, RSS: o.RSS,
		DF: float64(o.N - groups - o.P), Root: m.Root,
		model: m, design: sandwich.Absorbed{O: o, Group: group, Weight: total}, clusters: sandwich.NewClustering(len(y), m.Cluster),
	}
	f.Clusters = f.clusters.Count()
	for i := range f.Coef {
		f.Coef[i] = math.NaN()
	}
	for a, col := range o.Cols {
		f.Coef[col] = o.Coef[a]
	}
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, o.Dropped)
	switch {
	case f.Clusters < 2 || o.P == 0: // no variance between clusters: Contrast says so
	case m.Root == WeightedRows || sandwich.Equal(m.Weights):
		f.robust = sandwich.NewPlainSandwich(o, f.clusters, stats.CR2)
	default:
		f.robust = sandwich.NewAbsorbedSandwich(f.design, f.clusters)
	}
	return f, nil
}

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
	home := map[int]int{}
	for i, g := range m.Group {
		if c, ok := home[g]; ok && c != m.Cluster[i] {
			return fmt.Errorf("stats: group %d of row %d lies in clusters %d and %d: expected each group within one cluster", g, i, c, m.Cluster[i])
		}
		home[g] = m.Cluster[i]
	}
	return nil
}

// compact numbers ids 0..m-1 in their order, without gaps.
func compact(ids []int) (index []int, m int) {
	index, _ = bycase.Index(ids)
	place := map[int]int{}
	for _, k := range index {
		place[k] = 0
	}
	next := 0
	for k := 0; next < len(place); k++ {
		if _, ok := place[k]; ok {
			place[k] = next
			next++
		}
	}
	for i, k := range index {
		index[i] = place[k]
	}
	return index, next
}

func (m AbsorbedModel) weight(i int) float64 {
	if m.Weights == nil {
		return 1
	}
	return m.Weights[i]
}

// leastWithin is the share of a column's spread that must lie within groups for it
// to vary there at all; below it is rounding.
const leastWithin = 1e-10

// within takes the weighted group means from X and Y, the mean of a column first
// so that no digits are lost, and gives the weight of each group. A column that is
// constant within every group but for rounding becomes zero.
func (m AbsorbedModel) within(group []int, groups int) (x, y, total []float64) {
	p := len(m.Names)
	x, y, total = make([]float64, len(m.X)), make([]float64, len(m.Y)), make([]float64, groups)
	for i, g := range group {
		total[g] += m.weight(i)
	}
	take := func(from, to []float64, stride, j int) {
		mean := make([]float64, groups)
		size := 0.0
		for i := range m.Y {
			size = max(size, math.Abs(from[i*stride+j]))
		}
		for pass := range 2 { // the second takes what rounding left
			clear(mean)
			for i, g := range group {
				if pass == 0 {
					to[i*stride+j] = from[i*stride+j]
				}
				mean[g] += m.weight(i) / total[g] * to[i*stride+j]
			}
			for i, g := range group {
				to[i*stride+j] -= mean[g]
			}
		}
		left := 0.0
		for i := range m.Y {
			left = max(left, math.Abs(to[i*stride+j]))
		}
		if left <= leastWithin*size {
			for i := range m.Y {
				to[i*stride+j] = 0
			}
		}
	}
	for j := range p {
		take(m.X, x, p, j)
	}
	take(m.Y, y, 1, 0)
	return x, y, total
}
