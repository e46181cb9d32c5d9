package row

import (
	"cmp"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/mapping"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// amount reads the signed amount of a field along an axis: ok is false where it
// is blank, a missing code or refused; blank tells the first from the others.
func (r *Reader) amount(f columns.Field, axis casebook.Axis, dir casebook.Direction) (a values.Amount, ok, blank bool) {
	if c, _ := r.at(f); c.Kind == sheet.Blank && (f != columns.Achieved || r.BlankOutcome != "zero") {
		return a, false, true
	} else if f == columns.Achieved && (c.Kind == sheet.Blank || r.Zeros[strings.TrimSpace(c.Text)]) {
		return values.Amount{Digits: "0"}, true, false
	}
	c, col, ok := r.usable(f)
	if !ok {
		return a, false, false
	}
	a, err := r.number(c, col)
	if err == nil {
		err = r.directed(&a, f, axis, dir)
	}
	if err == nil {
		err = r.unit(a, axis, col)
	}
	if err != nil {
		r.fail(err, col, c)
		return a, false, false
	}
	return a, true, false
}

// number reads the digits of a cell of any kind.
func (r *Reader) number(c sheet.Cell, col int) (values.Amount, error) {
	var a values.Amount
	var err error
	switch c.Kind {
	case sheet.Number:
		a, err = values.StoredNumber(c.Text)
		if c.Percent {
			a.Percent = true
			a = a.Times(100)
		}
	case sheet.String:
		if a, err = r.AmountIn(c.Text); err == nil && r.Book.Format == sheet.Workbook && col > 0 {
			r.notes.Add(rules.NumberAsText, r.t, col, r.cells.Number)
		}
		if a.About {
			r.notes.Add(rules.NumberAbout, r.t, col, r.cells.Number)
		}
	default:
		err = values.Fail{Rule: rules.NumberUnreadable, Message: "the cell is not a number"}
	}
	if h, ok := r.t.ColumnAt(col); ok && err == nil && !h.Scale.Is1() && !values.IsSentinel(a.Value) {
		if h.Scale.Num == 0 {
			return a, values.Fail{Rule: rules.UnitUnknown, Message: "the header names a unit that is not mm or degrees"}
		}
		b := values.FromRat(new(big.Rat).Mul(a.Rat(), big.NewRat(h.Scale.Num, h.Scale.Den)))
		a.Value, a.Digits = b.Value, b.Digits
	}
	if err == nil && r.t.StandsForMissing(a, col) {
		err = values.Fail{Rule: rules.ValueSentinel, Message: "the number is one that usually stands for a missing value"}
	}
	return a, err
}

// directed gives the amount its sign: from the number, from a word beside it or
// from the direction of the row, under the signs the mapping declares.
func (r *Reader) directed(a *values.Amount, f columns.Field, axis casebook.Axis, dir casebook.Direction) error {
	own := casebook.NoDirection
	if a.Word != "" {
		var err error
		meant := r.MeantDirection(a.Word, axis)
		if own, err = values.ParseDirection(meant, axis); err != nil {
			own, _ = r.atTooth(meant, axis)
		}
		if own == casebook.NoDirection {
			return values.Fail{Rule: rules.NumberUnreadable, Message: "the text beside the number is no unit and no direction of the axis"}
		}
		if f == columns.Planned && dir != casebook.NoDirection && own != dir {
			return values.Fail{Rule: rules.SignAgainstWord, Message: "the row names two directions"}
		}
	}
	contradicts := values.Fail{Rule: rules.SignAgainstWord, Message: "the sign of the amount contradicts the direction"}
	if own != casebook.NoDirection {
		if a.Value < 0 && own.Sign() > 0 {
			return contradicts
		}
		if a.Value < 0 != (own.Sign() < 0) {
			*a = a.Times(-1)
		}
		return nil
	}
	if r.sizes(axis) && (dir != casebook.NoDirection || !r.plan.PlusAlong[axis]) {
		switch {
		case dir.Sign() >= 0 || f == columns.Achieved && r.plan.OutcomeSigns == decide.OutcomesSigned:
		case f == columns.Achieved && a.Value < 0 && r.plan.OutcomeSigns == decide.OutcomesRejected:
			return values.Fail{Rule: rules.SignAgainstWord, Message: "the amount has a minus although its plan has none"}
		default:
			*a = a.Times(-1)
		}
		return nil
	}
	if r.upward(axis) != "" && r.bothJaws() {
		return values.Fail{Rule: rules.SignAgainstWord, Message: "the teeth of the row are of both jaws, in which up is another direction"}
	}
	if r.flipped(axis) {
		*a = a.Times(-1)
	}
	if f == columns.Planned && dir != casebook.NoDirection && a.Value != 0 && (a.Value < 0) != (dir.Sign() < 0) {
		return contradicts
	}
	return nil
}

// upward is mapping.Up or its opposite where positive amounts along an axis go that way in
// both jaws, as somebody answered or the mapping says, else "".
func (r *Reader) upward(axis casebook.Axis) string {
	if axis != casebook.Vertical {
		return ""
	}
	return cmp.Or(r.Upward[r.t], r.mapping.Upward())
}

// flipped reports an axis whose positive direction the file writes the other way.
func (r *Reader) flipped(axis casebook.Axis) bool {
	if up := r.upward(axis); up != "" && len(r.teethOfRow) > 0 {
		return (up == mapping.Up) == (r.teethOfRow[0].Arch() == casebook.Upper)
	}
	if d, ok := r.Positive[r.t][axis]; ok {
		return d.Sign() < 0
	}
	d, _, err := r.mapping.PositiveOf(axis)
	return err == nil && d.Sign() < 0
}

// bothJaws reports a row about teeth of both jaws.
func (r *Reader) bothJaws() bool {
	return slices.ContainsFunc(r.teethOfRow, func(t casebook.Tooth) bool { return t.Arch() != r.teethOfRow[0].Arch() })
}

// unit checks every unit the row, the header and the cell name.
func (r *Reader) unit(a values.Amount, axis casebook.Axis, col int) error {
	if a.Percent {
		return values.Fail{Rule: rules.NumberUnreadable, Message: "the cell holds a percentage in place of an amount"}
	}
	against := values.Fail{Rule: rules.UnitAgainstAxis, Message: "the unit does not fit the axis"}
	if a.Unit != casebook.NoUnit && a.Unit != axis.Unit() {
		return against
	}
	if c, ok := r.t.ColumnAt(col); ok && c.Unit != casebook.NoUnit && c.Unit != axis.Unit() {
		return against
	}
	return nil
}

// amounts reads planned and achieved, converting a residual or positions.
func (r *Reader) amounts(m *casebook.Movement, dir casebook.Direction) {
	if u := word(r, columns.Unit, values.ParseUnit); u != casebook.NoUnit && u != m.Axis.Unit() {
		c, col := r.at(columns.Unit)
		r.reject(rules.UnitAgainstAxis, col, c.Kind, "the unit does not fit the axis")
		return
	}
	if r.plan.Unsigned {
		c, col := r.at(columns.Planned)
		r.reject(rules.SizeOnly, col, c.Kind, "the position lacks its sign")
		return
	}
	errors := len(r.row.Errors())
	planned, ok, blank := r.amount(columns.Planned, m.Axis, dir)
	if !ok {
		if blank || len(r.row.Errors()) == errors {
			c, col := r.at(columns.Planned)
			r.reject(rules.ValueMissing, col, c.Kind, "the planned amount is missing")
		}
		return
	}
	start := new(big.Rat)
	if r.plan.Planned == "end position" || r.plan.Achieved == "end position" {
		s, ok, blank := r.amount(columns.StartPosition, m.Axis, dir)
		if !ok {
			if blank {
				c, col := r.at(columns.StartPosition)
				r.reject(rules.ValueMissing, col, c.Kind, "the start position is missing")
			}
			return
		}
		start = s.Rat()
	}
	if r.plan.Planned == "end position" {
		planned = values.FromRat(new(big.Rat).Sub(planned.Rat(), start))
	}
	m.Planned = planned.Value
	// A sheet of sizes may give directions for some of its rows only.
	undirected := dir == casebook.NoDirection && planned.Word == "" && planned.Value != 0
	m.SizeOnly = !r.plan.PlusMeant && !r.plan.PlusAlong[m.Axis] && (r.plan.SizeOnly || r.sizes(m.Axis) && undirected)
	r.limits(columns.Planned, m.Axis, m.Planned)
	if planned.Word != "" && r.sizes(m.Axis) { // the word beside the plan says which way its outcome went
		dir = casebook.DirectionOf(m.Axis, m.Planned)
	}
	r.achieved(m, dir, planned, start)
}

// sizes reports an axis along which amounts carry no sign.
func (r *Reader) sizes(axis casebook.Axis) bool { return r.plan.Sizes || r.plan.SizesAlong[axis] }

// achieved reads the outcome. A blank one is refused where the case is
// completed or its status is not known.
func (r *Reader) achieved(m *casebook.Movement, dir casebook.Direction, planned values.Amount, start *big.Rat) {
	f := columns.Achieved
	switch {
	case (r.plan.Achieved == "residual" || r.plan.Achieved == "excess" || r.plan.Achieved == "achieved") && !r.hasAchieved():
		f = columns.Residual
	case r.plan.Achieved == "end position" && !r.hasAchieved():
		f = columns.EndPosition
	}
	before := len(r.row.Errors())
	a, ok, blank := r.amount(f, m.Axis, dir)
	if r.plan.Percent == "computed" && m.StatedPercent.OK {
		m.Achieved = casebook.Some(shareOf(planned, m.StatedPercent.Value).Value)
		r.limits(columns.StatedPercent, m.Axis, m.Achieved.Value)
		return
	}
	if !ok {
		share, _ := r.at(columns.StatedPercent)
		stated := r.pair != nil && planned.Value == 0 || m.StatedPercent.OK || r.plan.Percent == "leave" || values.IsMissing(share.Text, r.Missing)
		open := r.status(m.Case) != casebook.Completed && r.status(m.Case) != casebook.NoStatus
		if c, col := r.at(f); blank && !stated && !open && r.BlankOutcome != "not measured" && len(r.row.Errors()) == before {
			r.reject(rules.AchievedMissing, col, c.Kind, "planned without achieved")
		}
		return
	}
	switch r.plan.Achieved {
	case "residual":
		a = values.FromRat(new(big.Rat).Sub(planned.Rat(), a.Rat()))
	case "excess":
		a = values.FromRat(new(big.Rat).Add(planned.Rat(), a.Rat()))
	case "end position":
		a = values.FromRat(new(big.Rat).Sub(a.Rat(), start))
	}
	if r.plan.AlongPlan && m.Planned < 0 && a.Word == "" {
		a = a.Times(-1)
	}
	if a.Word == "" && r.lacksMinus(m, a.Value) {
		if r.plan.Forgotten == "reject" {
			c, col := r.at(f)
			r.reject(rules.SignAgainstWord, col, c.Kind, "the amount has no minus although its plan has one")
			return
		}
		a = a.Times(-1)
	}
	m.Achieved = casebook.Some(a.Value)
	r.limits(f, m.Axis, a.Value)
}

// lacksMinus reports an outcome whose minus was forgotten, or may have been, as was answered.
func (r *Reader) lacksMinus(m *casebook.Movement, achieved float64) bool {
	if r.plan.Forgotten != "along plan" && r.plan.Forgotten != "reject" {
		return false
	}
	planned := m.Planned
	if r.flipped(m.Axis) {
		planned, achieved = -planned, -achieved
	}
	return decide.Forgotten(planned, achieved)
}

// shareOf is so many per cent of an amount, exactly.
func shareOf(a values.Amount, percent float64) values.Amount {
	share := new(big.Rat).SetFloat64(percent)
	if r, ok := new(big.Rat).SetString(strconv.FormatFloat(percent, 'f', -1, 64)); ok {
		share = r
	}
	return values.FromRat(share.Mul(share, a.Rat()).Quo(share, big.NewRat(100, 1)))
}

// hasAchieved reports a column of achieved amounts; a mapping can say that it
// holds residuals or end positions.
func (r *Reader) hasAchieved() bool {
	if r.pair != nil {
		return r.pair.Cols[columns.Achieved] > 0
	}
	return r.t.Has(columns.Achieved)
}

// limits refuses impossible amounts and notes unlikely ones.
func (r *Reader) limits(f columns.Field, axis casebook.Axis, v float64) {
	_, col := r.at(f)
	switch rules.Judge(axis, v) {
	case rules.AmountImpossible:
		r.reject(rules.AmountImpossible, col, sheet.Number, "the amount is impossible")
	case rules.AmountUnlikely:
		if r.t.Kind == casebook.MovementKind {
			return // it is asked about with all that can hardly be right
		}
		r.notes.Put(r.problem(rules.AmountUnlikely, col, sheet.Number, "the amount is implausibly large"))
	}
}
