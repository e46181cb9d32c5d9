package ingest

import (
	"math/big"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// readMovements reads the movement of a long row, or each of a wide one.
func (r *rowReader) readMovements() {
	if len(r.t.Pairs) == 0 {
		r.readMovement()
		return
	}
	for i := range r.t.Pairs {
		r.pair = &r.t.Pairs[i]
		if r.pairUsed() {
			r.readMovement()
		}
	}
	r.pair = nil
}

// pairUsed reports whether a wide row says anything about the pair; where it
// does not, no such movement was planned.
func (r *rowReader) pairUsed() bool {
	for _, f := range []columns.Field{columns.Planned, columns.Achieved, columns.Residual, columns.EndPosition, columns.StatedPercent} {
		if r.cells.At(r.pair.Cols[f]).Kind != sheet.Blank {
			return true
		}
	}
	return false
}

func (r *rowReader) readMovement() {
	m := casebook.Movement{CaseID: r.code(columns.Case, true), Course: r.courseNumber()}
	m.Tooth = r.tooth()
	axis, dir := r.axis()
	m.Axis = axis
	m.Style = word(r, columns.Style, values.ParseStyle)
	m.Shape = word(r, columns.Shape, values.ParseShape)
	m.Orientation = word(r, columns.Orientation, values.ParseOrientation)
	m.Staging = word(r, columns.Staging, values.ParseStaging)
	m.Lost = opt(r, columns.Lost, values.ParseYesNo)
	m.LostMonth = r.count(columns.LostMonth)
	m.SizeMM = r.featureSize()
	m.StatedPercent = r.percent()
	if axis != casebook.NoAxis {
		r.amounts(&m, dir)
	}
	r.feature(m)
	r.row.movements = append(r.row.movements, m)
}

// feature refuses a feature described, or lost, where there is none.
func (r *rowReader) feature(m casebook.Movement) {
	if m.Style != casebook.StyleNone {
		return
	}
	_, col := r.at(columns.Style)
	if m.Shape != casebook.NoShape || m.Orientation != casebook.NoOrientation || m.SizeMM.OK {
		r.reject(rules.FeatureMissing, col, sheet.String, "the style is none and a feature is described")
	}
	if m.Lost.OK && m.Lost.Value || m.LostMonth.OK {
		r.reject(rules.LossWithoutFeature, col, sheet.String, "the style is none and a feature was lost")
	}
}

func (r *rowReader) tooth() casebook.Tooth {
	if r.pair != nil && r.pair.Tooth != "" {
		t, err := values.ParseTooth(r.pair.Tooth).In(r.notation)
		if err != nil {
			r.fail(err, r.pair.Cols[columns.Planned], sheet.Cell{Kind: sheet.String})
		}
		return t
	}
	c, col, ok := r.need(columns.Tooth)
	if !ok {
		return 0
	}
	if c.Kind == sheet.Date {
		r.reject(rules.ToothDate, col, c.Kind, "the tooth was turned into a date")
		return 0
	}
	t, err := values.ParseTooth(c.Text).In(r.notation)
	if err != nil {
		r.fail(err, col, c)
	}
	return t
}

// axis reads the axis, and a direction where the words of the row give one.
func (r *rowReader) axis() (casebook.Axis, casebook.Direction) {
	axis, dir := casebook.NoAxis, casebook.NoDirection
	if r.pair != nil && r.pair.Axis != casebook.NoAxis {
		axis, dir = r.pair.Axis, r.pair.Direction
	} else if r.t.Has(columns.Axis) {
		c, col, ok := r.need(columns.Axis)
		if !ok {
			return axis, dir
		}
		var err error
		if axis, dir, err = values.ParseAxis(r.declared(columns.Axis, c.Text)); err != nil {
			r.fail(err, col, c)
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
	d, err := values.ParseDirection(r.declared(columns.Direction, c.Text), axis)
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

// amount reads the signed amount of a field along an axis: ok is false where it
// is blank, a missing code or refused; blank tells the first from the others.
func (r *rowReader) amount(f columns.Field, axis casebook.Axis, dir casebook.Direction) (a values.Amount, ok, blank bool) {
	if c, _ := r.at(f); c.Kind == sheet.Blank {
		return a, false, true
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
func (r *rowReader) number(c sheet.Cell, col int) (values.Amount, error) {
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
		if a, err = values.ParseAmount(c.Text, r.decimal); err == nil && r.book.Format == sheet.Workbook && col > 0 {
			r.notes.add(rules.NumberAsText, r.t, col, r.cells.Number)
		}
	default:
		err = values.Fail{Rule: rules.NumberUnreadable, Message: "the cell is not a number"}
	}
	if err == nil && values.IsSentinel(a.Value) {
		err = values.Fail{Rule: rules.ValueSentinel, Message: "the number is one that usually stands for a missing value"}
	}
	return a, err
}

// directed gives the amount its sign: from the number, from a word beside it or
// from the direction of the row, under the signs the mapping declares.
func (r *rowReader) directed(a *values.Amount, f columns.Field, axis casebook.Axis, dir casebook.Direction) error {
	own := casebook.NoDirection
	if a.Word != "" {
		var err error
		if own, err = values.ParseDirection(a.Word, axis); err != nil {
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
	if r.plan.sizes {
		if dir.Sign() < 0 {
			*a = a.Times(-1)
		}
		return nil
	}
	if r.flipped(axis) {
		*a = a.Times(-1)
	}
	if f == columns.Planned && dir != casebook.NoDirection && a.Value != 0 && (a.Value < 0) != (dir.Sign() < 0) {
		return contradicts
	}
	return nil
}

// flipped reports an axis whose positive direction the file writes the other way.
func (r *rowReader) flipped(axis casebook.Axis) bool {
	if r.o.Mapping == nil {
		return false
	}
	d, _, err := r.o.Mapping.PositiveOf(axis)
	return err == nil && d.Sign() < 0
}

// unit checks every unit the row, the header and the cell name.
func (r *rowReader) unit(a values.Amount, axis casebook.Axis, col int) error {
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
func (r *rowReader) amounts(m *casebook.Movement, dir casebook.Direction) {
	if u := word(r, columns.Unit, values.ParseUnit); u != casebook.NoUnit && u != m.Axis.Unit() {
		c, col := r.at(columns.Unit)
		r.reject(rules.UnitAgainstAxis, col, c.Kind, "the unit does not fit the axis")
		return
	}
	errors := len(r.row.errors)
	planned, ok, blank := r.amount(columns.Planned, m.Axis, dir)
	if !ok {
		if blank || len(r.row.errors) == errors {
			c, col := r.at(columns.Planned)
			r.reject(rules.ValueMissing, col, c.Kind, "the planned amount is missing")
		}
		return
	}
	start := new(big.Rat)
	if r.plan.planned == "end position" || r.plan.achieved == "end position" {
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
	if r.plan.planned == "end position" {
		planned = values.FromRat(new(big.Rat).Sub(planned.Rat(), start))
	}
	m.Planned = planned.Value
	m.SizeOnly = r.plan.sizeOnly
	r.limits(columns.Planned, m.Axis, m.Planned)
	r.achieved(m, dir, planned, start)
}

// achieved reads the outcome. A blank one is refused where the case is
// completed or its status is not known.
func (r *rowReader) achieved(m *casebook.Movement, dir casebook.Direction, planned values.Amount, start *big.Rat) {
	f := columns.Achieved
	switch {
	case r.plan.achieved == "residual" && !r.hasAchieved():
		f = columns.Residual
	case r.plan.achieved == "end position" && !r.hasAchieved():
		f = columns.EndPosition
	}
	before := len(r.row.errors)
	a, ok, blank := r.amount(f, m.Axis, dir)
	if !ok {
		stated := m.StatedPercent.OK
		open := r.status(m.CaseID) != casebook.Completed && r.status(m.CaseID) != casebook.NoStatus
		if c, col := r.at(f); blank && !stated && !open && len(r.row.errors) == before {
			r.reject(rules.AchievedMissing, col, c.Kind, "planned without achieved")
		}
		return
	}
	switch r.plan.achieved {
	case "residual":
		a = values.FromRat(new(big.Rat).Sub(planned.Rat(), a.Rat()))
	case "end position":
		a = values.FromRat(new(big.Rat).Sub(a.Rat(), start))
	}
	m.Achieved = casebook.Some(a.Value)
	r.limits(f, m.Axis, a.Value)
}

// hasAchieved reports a column of achieved amounts; a mapping can say that it
// holds residuals or end positions.
func (r *rowReader) hasAchieved() bool {
	if r.pair != nil {
		return r.pair.Cols[columns.Achieved] > 0
	}
	return r.t.Has(columns.Achieved)
}

// limits refuses impossible amounts and notes unlikely ones.
func (r *rowReader) limits(f columns.Field, axis casebook.Axis, v float64) {
	_, col := r.at(f)
	switch rules.Judge(axis, v) {
	case rules.AmountImpossible:
		r.reject(rules.AmountImpossible, col, sheet.Number, "the amount is impossible")
	case rules.AmountUnlikely:
		r.notes.put(r.problem(rules.AmountUnlikely, col, sheet.Number, "the amount is implausibly large"))
	}
}

const largestFeature = 15 // mm; wider than any crown

func (r *rowReader) featureSize() casebook.Opt[float64] {
	c, col, ok := r.usable(columns.FeatureSize)
	if !ok {
		return casebook.Opt[float64]{}
	}
	a, err := r.number(c, col)
	switch {
	case err == nil && a.Unit == casebook.Degree:
		err = values.Fail{Rule: rules.UnitAgainstAxis, Message: "the size of a feature is in millimetres"}
	case err == nil && (a.Value <= 0 || a.Value > largestFeature || a.Word != ""):
		err = values.Fail{Rule: rules.AmountImpossible, Message: "the size of the feature is out of range"}
	}
	if err != nil {
		r.fail(err, col, c)
		return casebook.Opt[float64]{}
	}
	return casebook.Some(a.Value)
}

// percent reads an expression the practice computed itself; it is kept apart.
func (r *rowReader) percent() casebook.Opt[float64] {
	c, col, ok := r.usable(columns.StatedPercent)
	if !ok {
		return casebook.Opt[float64]{}
	}
	a, err := r.number(c, col)
	if err == nil && (a.Unit != casebook.NoUnit || a.Word != "") {
		err = values.Fail{Rule: rules.NumberUnreadable, Message: "the cell is not a percentage"}
	}
	if err != nil {
		r.fail(err, col, c)
		return casebook.Opt[float64]{}
	}
	if r.plan.fraction && !a.Percent {
		a = a.Times(100)
	}
	if a.Value < -200 || a.Value > 300 {
		r.notes.put(r.problem(rules.PercentUnlikely, col, c.Kind, "the stated percentage is implausible"))
	}
	return casebook.Some(a.Value)
}

// readRepeat reads a second measurement.
func (r *rowReader) readRepeat() {
	rep := casebook.Repeat{CaseID: r.code(columns.Case, true), Course: r.courseNumber(), Tooth: r.tooth()}
	axis, dir := r.axis()
	rep.Axis = axis
	if axis == casebook.NoAxis {
		return
	}
	if u := word(r, columns.Unit, values.ParseUnit); u != casebook.NoUnit && u != axis.Unit() {
		c, col := r.at(columns.Unit)
		r.reject(rules.UnitAgainstAxis, col, c.Kind, "the unit does not fit the axis")
	}
	for i, to := range []*float64{&rep.First, &rep.Second} {
		f := []columns.Field{columns.First, columns.Second}[i]
		before := len(r.row.errors)
		a, ok, _ := r.amount(f, axis, dir)
		if !ok && len(r.row.errors) == before {
			c, col := r.at(f)
			r.reject(rules.ValueMissing, col, c.Kind, "the measurement is missing")
		}
		if *to = a.Value; ok {
			r.limits(f, axis, a.Value)
		}
	}
	r.row.repeat = &rep
}
