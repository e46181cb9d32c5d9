package row

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/values"
)

// axis reads the axis, and a direction where the words of the row give one.
func (r *Reader) axis() (casebook.Axis, casebook.Direction) {
	axis, dir := casebook.NoAxis, casebook.NoDirection
	if r.pair != nil && r.pair.Axis != casebook.NoAxis {
		axis, dir = r.pair.Axis, r.pair.Direction
	} else if r.t.Has(columns.Axis) {
		c, col, ok := r.need(columns.Axis)
		if !ok {
			return axis, dir
		}
		read := reading(r, columns.Axis, parseMovement).Get(r.same, c.Text)
		if axis, dir = read.value.axis, read.value.direction; read.err != nil {
			if d, ok := r.atTooth(r.Meant(columns.Axis, c.Text), casebook.NoAxis); ok {
				return d.Axis(), d
			}
			r.fail(read.err, col, c)
			return axis, dir
		}
	}
	c, col, ok := r.usable(columns.Direction)
	if !ok {
		if axis == casebook.NoAxis {
			r.reject(rules.ValueMissing, col, c.Kind, "the axis is missing")
		}
		return axis, dir
	}
	d, err := values.ParseDirection(r.MeantDirection(c.Text, axis), axis)
	if err != nil {
		if at, ok := r.atTooth(r.MeantDirection(c.Text, axis), axis); ok {
			d, err = at, nil
		}
	}
	switch {
	case err != nil:
		r.fail(err, col, c)
	case dir != casebook.NoDirection && d != dir:
		r.reject(rules.SignAgainstWord, col, c.Kind, "the row names two directions")
	default:
		axis, dir = d.Axis(), d
	}
	return axis, dir
}

// movementWord is what a word of the column of movements says.
type movementWord struct {
	axis      casebook.Axis
	direction casebook.Direction
}

func parseMovement(s string) (movementWord, error) {
	axis, dir, err := values.ParseAxis(s)
	return movementWord{axis, dir}, err
}

// atTooth reads a direction that is another one for another tooth; all teeth of the
// row must agree.
func (r *Reader) atTooth(text string, axis casebook.Axis) (casebook.Direction, bool) {
	text = strings.TrimSpace(text)
	if axis == casebook.NoAxis && values.TurningOf(text) == values.RightLeft {
		axis = r.Sideways
	}
	out := casebook.NoDirection
	for _, t := range r.teethOfRow {
		d := casebook.NoDirection
		if t != 0 {
			d = r.View.AtTooth(text, t, axis)
		}
		if d == casebook.NoDirection || out != casebook.NoDirection && out != d {
			return casebook.NoDirection, false
		}
		out = d
	}
	return out, out != casebook.NoDirection
}
