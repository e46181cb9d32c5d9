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
	products *sandwich.Products
}

// NewNested takes the model with all columns. Errors as of FitAbsorbed.
func NewNested(m AbsorbedModel) (*Nested, error) {
	if m.Group == nil {
		m.Group = m.Cluster
	}
	if err := m.check(); err != nil {
		return nil, err
	}
	b, err := sandwich.NewBlocks(sandwich.Design{
		Columns: m.columns(), Rows: m.Rows, Cluster: m.Cluster, Group: m.Group, Weights: m.Weights, Arena: m.Arena,
	}, func(j int) string { return m.Names[j] })
	if err != nil {
		return nil, err
	}
	return &Nested{m: m, products: b.Products(m.Y)}, nil
}

// Fit fits the model on some of the columns, by their numbers.
func (n *Nested) Fit(cols []int) *AbsorbedFit {
	m := n.m
	m.Names = make([]string, len(cols))
	for k, j := range cols {
		m.Names[k] = n.m.Names[j]
	}
	return m.describe(n.products.Fit(cols))
}

// Coef gives the coefficients of Fit among the rows that stay when those of some groups
// leave, listed in rising order; NaN for dropped columns. An error where nothing is left.
func (n *Nested) Coef(cols, leave []int) ([]float64, error) {
	if len(leave) >= len(n.m.Y) {
		return nil, fmt.Errorf("stats: no rows to fit")
	}
	if len(leave) == 0 {
		return n.products.Coef(cols), nil
	}
	return n.products.CoefWithout(cols, leave), nil
}
