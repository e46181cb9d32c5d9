package robust

import (
	"fmt"

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
	X       []float64 // row-major, len(Y) rows of len(Names) columns; nil where there are Columns
	Y       []float64
	Weights []float64 // positive; nil = 1
	Group   []int     // whose level is absorbed (a case, or a course of a case); nil = Cluster
	Cluster []int     // independent units (cases); each group lies within one
	Root    Root
	// Columns, one a name, can stand for X; Rows are those of the model among their values,
	// nil for all as they come.
	Columns []Column
	Rows    []int
	// Arena lends the memory of the fit, which is then good until its Reset; nil: its own.
	Arena *stats.Arena
}

// Column is one of an AbsorbedModel: numbers, the indicator of one of the words that
// Codes stand for, or numbers where that word stands.
type Column = sandwich.Column

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

	model  AbsorbedModel
	fit    *sandwich.BlockFit
	robust sandwich.Sandwich // nil until it is asked for
	who    *contributors
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
	n, err := NewNested(m)
	if err != nil {
		return nil, err
	}
	return n.Fit(upTo(len(m.Names))), nil
}

// upTo lists the numbers below n.
func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// describe makes what is said of a fit.
func (m AbsorbedModel) describe(fit *sandwich.BlockFit) *AbsorbedFit {
	b := fit.Blocks()
	f := &AbsorbedFit{
		Names: m.Names, N: b.Rows(), Groups: b.Groups(), Clusters: b.Clusters(), Rank: fit.P,
		DF: float64(b.Rows() - b.Groups() - fit.P), Root: m.Root, model: m, who: &contributors{},
	}
	f.Dropped, f.Warnings = sandwich.DroppedColumns(m.Names, fit.Dropped)
	f.outcome(fit)
	return f
}

// outcome takes the coefficients of a fit.
func (f *AbsorbedFit) outcome(fit *sandwich.BlockFit) {
	f.fit, f.RSS, f.Coef, f.robust = fit, fit.RSS, fit.Coefficients(), nil
}

// variance between clusters; nil where there is none, as Contrast says.
func (f *AbsorbedFit) variance() sandwich.Sandwich {
	switch {
	case f.robust != nil || f.Clusters < 2 || f.fit.P == 0:
	case f.plain():
		f.robust = sandwich.NewBlockSandwich(f.fit)
	default:
		f.robust = sandwich.NewAbsorbedSandwich(f.fit.Absorbed())
	}
	return f.robust
}

// plain reports weights that are inverse variances.
func (f *AbsorbedFit) plain() bool { return f.Root == WeightedRows || sandwich.Equal(f.model.Weights) }

func (m AbsorbedModel) check() error {
	n := len(m.Y)
	if m.Cluster == nil {
		return fmt.Errorf("stats: an absorbed model needs cluster ids")
	}
	if m.Root != WeightedRows && m.Root != IdentityTarget {
		return fmt.Errorf("stats: unknown root %v", m.Root)
	}
	if err := m.shape(); err != nil {
		return err
	}
	if err := sandwich.CheckOutcome(m.Y); err != nil {
		return err
	}
	if err := sandwich.CheckWeights(n, m.Weights); err != nil {
		return err
	}
	if len(m.Group) != n {
		return fmt.Errorf("stats: %d rows but %d group ids", n, len(m.Group))
	}
	mark := m.Arena.Mark()
	defer m.Arena.Release(mark)
	index, groups := bycase.IndexIn(m.Arena, m.Group)
	home := m.Arena.Ints(groups) // row of each group, +1
	for i, g := range index {
		if r := home[g]; r == 0 {
			home[g] = i + 1
		} else if c := m.Cluster[r-1]; c != m.Cluster[i] {
			return fmt.Errorf("stats: group %d of row %d lies in clusters %d and %d: expected each group within one cluster", m.Group[i], i, c, m.Cluster[i])
		}
	}
	return nil
}

// shape refuses columns that do not fit.
func (m AbsorbedModel) shape() error {
	if m.Columns == nil {
		return sandwich.CheckShape(m.Names, m.X, m.Y, m.Cluster)
	}
	n := len(m.Y)
	switch {
	case n == 0:
		return fmt.Errorf("stats: no rows to fit")
	case len(m.Columns) == 0 || len(m.Columns) != len(m.Names):
		return fmt.Errorf("stats: %d columns for %d names", len(m.Columns), len(m.Names))
	case len(m.Cluster) != n || m.Rows != nil && len(m.Rows) != n:
		return fmt.Errorf("stats: %d rows but %d cluster ids, and %d rows of columns", n, len(m.Cluster), len(m.Rows))
	}
	for k, c := range m.Columns {
		if c.Values == nil && c.Codes == nil || m.Rows == nil && (c.Values != nil && len(c.Values) != n || c.Codes != nil && len(c.Codes) != n) {
			return fmt.Errorf("stats: %d values and %d codes of %q for %d rows", len(c.Values), len(c.Codes), m.Names[k], n)
		}
	}
	return nil
}

// columns of the model, those of X one by one.
func (m AbsorbedModel) columns() []Column {
	if m.Columns != nil {
		return m.Columns
	}
	n, width := len(m.Y), len(m.Names)
	out := make([]Column, width)
	for j := range out {
		v := m.Arena.Room(n)
		for i := range v {
			v[i] = m.X[i*width+j]
		}
		out[j].Values = v
	}
	return out
}
