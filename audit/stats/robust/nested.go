package robust

import (
	"fmt"

	"shortfall/audit/stats/internal/sandwich"
)

// Nested are the models on some of the columns of one: the groups are taken out and
// cross-products summed once for all of them. What they give is that of FitAbsorbed on
// those columns, in their order. See BenchmarkNested.
type Nested struct {
	m        AbsorbedModel
	within   within
	group    []int
	products *sandwich.Products
}

// NewNested takes the model with all columns, whose X is spent. Errors as of FitAbsorbed.
func NewNested(m AbsorbedModel) (*Nested, error) {
	if m.Group == nil {
		m.Group = m.Cluster
	}
	if err := m.check(); err != nil {
		return nil, err
	}
	m.Spent = true
	group, groups := compact(m.Arena, m.Group)
	w := m.within(group, groups)
	m.X = nil
	products := &sandwich.Products{X: w.x, Y: w.y, RootW: sandwich.RootsIn(m.Arena, m.Weights), Width: len(m.Names), Arena: m.Arena}
	return &Nested{m: m, within: w, group: group, products: products.Sum()}, nil
}

// Fit fits the model on some of the columns, by their numbers.
func (n *Nested) Fit(cols []int) *AbsorbedFit {
	m, w := n.m, n.within
	m.Names, w.size = make([]string, len(cols)), make([]float64, len(cols))
	for k, j := range cols {
		m.Names[k], w.size[k] = n.m.Names[j], n.within.size[j]
	}
	o := n.products.Fit(cols)
	w.x = o.X
	return m.fit(o, w, n.group, len(w.total))
}

// Coef gives the coefficients of Fit among the rows that stay when those of some groups
// leave, listed in rising order; NaN for dropped columns. An error where nothing is left.
func (n *Nested) Coef(cols, leave []int) ([]float64, error) {
	if len(leave) >= len(n.m.Y) {
		return nil, fmt.Errorf("stats: no rows to fit")
	}
	if coef, ok := n.products.CoefWithout(cols, leave); ok {
		return coef, nil
	}
	return n.Fit(cols).coefWithout(leave), nil
}

// coefWithout decomposes the rows that stay.
func (f *AbsorbedFit) coefWithout(leave []int) []float64 {
	a, o := f.model.Arena, f.design.O
	stays := a.Ints(f.N)[:0]
	for i := range f.N {
		if len(leave) > 0 && leave[0] == i {
			leave = leave[1:]
			continue
		}
		stays = append(stays, i)
	}
	y := rowsOf(a.Room, f.within.y, 1, stays)
	rest := &sandwich.Orthonormal{N: len(stays), Width: o.Width, X: rowsOf(a.Room, o.X, o.Width, stays), RootW: rowsOf(a.Room, o.RootW, 1, stays), Arena: a}
	return coefficients(rest.Decompose(y))
}
