package compare

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats/robust"
)

// nest are the models of some movements on some of its columns, of which the choice is the
// last.
type nest struct {
	models *robust.Nested
	err    error
	cols   []column
}

// newNest takes the rows that tell something.
func (c *Contrast) newNest(rows []int, cols []column) *nest {
	n := &nest{cols: cols}
	n.models, n.err = robust.NewNested(c.model(rows, c.y, cols))
	return n
}

// nest makes once, of the measured movements or of those that are not doubted, the models
// that only the checks ask for: on the levels of the tooth classes and the choice within each
// besides. Most comparisons are never checked.
func (c *Contrast) nest(rows []int) *nest {
	at := &c.nested
	switch {
	case len(rows) < len(c.rows):
		at = &c.certainly
	case len(c.everyColumn()) == len(c.main.cols):
		return c.main
	}
	if *at == nil {
		*at = c.newNest(c.d.telling(rows), c.everyColumn())
	}
	return *at
}

// ownColumns are those of the model and of that with the adjusters there was no room for.
func (c *Contrast) ownColumns() []column {
	last := len(c.full) - 1
	out := slices.Clone(c.full[:last])
	for k := range c.cols[:len(c.cols)-1] {
		if !slices.ContainsFunc(c.full, func(of column) bool { return of.is(&c.cols[k]) }) {
			out = append(out, c.cols[k])
		}
	}
	return append(out, c.full[last])
}

// everyColumn lists the columns of a nest.
func (c *Contrast) everyColumn() []column {
	if c.every == nil {
		own := c.ownColumns()
		treated := own[len(own)-1]
		c.every = own[:len(own)-1]
		for _, class := range c.classes() {
			c.every = append(c.every, c.product(levelOf(class), class, nil), c.product(choiceIn(class), class, treated.Values))
		}
		c.every = append(c.every, treated)
	}
	return c.every
}

// levelOf names the indicator of a tooth class, choiceIn the choice among its teeth.
func levelOf(class int) string  { return fmt.Sprintf("class %d", class) }
func choiceIn(class int) string { return fmt.Sprintf("choice in class %d", class) }

// named finds a column of a nest by its name.
func (c *Contrast) named(name string) column {
	cols := c.everyColumn()
	return cols[slices.IndexFunc(cols, func(k column) bool { return k.name == name })]
}

// fit is the model on some of the columns.
func (n *nest) fit(cols []column) (*robust.AbsorbedFit, error) {
	if n.err != nil {
		return nil, n.err
	}
	return n.models.Fit(n.numbers(cols)), nil
}

// coef are the coefficients of fit without some of the rows of the model.
func (n *nest) coef(cols []column, leave []int) ([]float64, error) {
	if n.err != nil {
		return nil, n.err
	}
	return n.models.Coef(n.numbers(cols), leave)
}

// difference is the last of them; NaN where there is none.
func (n *nest) difference(cols []column, leave []int) float64 {
	coef, err := n.coef(cols, leave)
	if err != nil {
		return math.NaN()
	}
	return coef[len(coef)-1]
}

// holds says whether all columns are those of the nest.
func (n *nest) holds(cols []column) bool { return !slices.Contains(n.numbers(cols), -1) }

// numbers finds columns by their values, -1 for none: names may come twice.
func (n *nest) numbers(cols []column) []int {
	out := make([]int, len(cols))
	for k := range cols {
		out[k] = slices.IndexFunc(n.cols, func(c column) bool { return c.is(&cols[k]) })
	}
	return out
}
