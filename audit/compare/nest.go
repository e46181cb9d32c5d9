package compare

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/stats/robust"
)

// nest are the models of some movements that the checks ask for: on the adjusters, those
// there was no room for, the levels of the tooth classes, the choice within each, and
// the choice.
type nest struct {
	models *robust.Nested
	err    error
	cols   []column
}

// nest makes them once, of the measured movements or of those that are not doubted.
func (c *Contrast) nest(rows []int) *nest {
	at := &c.nested
	if len(rows) < len(c.rows) {
		at = &c.certainly
	}
	if *at == nil {
		n := &nest{cols: c.everyColumn()}
		n.models, n.err = robust.NewNested(c.model(c.d.telling(rows), c.y, n.cols))
		*at = n
	}
	return *at
}

// everyColumn lists the columns of a nest.
func (c *Contrast) everyColumn() []column {
	if c.every == nil {
		treated := c.full[len(c.full)-1]
		c.every = columnsOf(c.candidates)
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

// numbers finds columns by their values: names may come twice.
func (n *nest) numbers(cols []column) []int {
	out := make([]int, len(cols))
	for k := range cols {
		out[k] = slices.IndexFunc(n.cols, func(c column) bool { return c.is(&cols[k]) })
	}
	return out
}
