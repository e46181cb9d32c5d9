package row

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// readMovements reads the movement of a long row, or each of a wide one.
func (r *Reader) readMovements() {
	if len(r.t.Pairs) == 0 {
		r.readMovement()
		return
	}
	var strays strays
	for i := range r.t.Pairs {
		r.pair = &r.t.Pairs[i]
		if !r.pairUsed() || r.otherWay(i) {
			for _, f := range ofPair {
				r.looked[r.pair.Cols[f]] = true // at most a mark that nothing was planned
			}
			continue
		}
		errors, moves := len(r.row.Errors()), r.row.Moves
		r.readMovement()
		r.looked[r.pair.Cols[columns.Achieved]] = true // it is refused with its plan, if that is
		if r.ofOneMovement(r.row.Errors()[errors:]) {
			strays.take(r, errors, moves)
		}
	}
	r.pair = nil
	strays.settle(r)
}

// ofPair are what a wide row may hold of a movement.
var ofPair = []columns.Field{columns.Planned, columns.Achieved, columns.Residual, columns.EndPosition, columns.StatedPercent}

// pairUsed reports whether a wide row says anything about the pair; where it
// does not, or has the mark of one that was not planned, no such movement was planned.
func (r *Reader) pairUsed() bool {
	for _, f := range ofPair {
		c := r.cells.At(r.pair.Cols[f])
		if c.Kind != sheet.Blank && !(c.Kind == sheet.String && r.Unplanned[strings.TrimSpace(c.Text)]) {
			return true
		}
	}
	return false
}

// otherWay reports a pair of one direction that says 0 where a pair of the same movement is the
// one that was planned: "extrusion 0, intrusion 0.8". Where all of them say 0 the first stands.
func (r *Reader) otherWay(i int) bool {
	p := &r.t.Pairs[i]
	if p.Direction == casebook.NoDirection || !r.nothing(p) {
		return false
	}
	for j := range r.t.Pairs {
		o := &r.t.Pairs[j]
		if o.Axis != p.Axis || o.Tooth != p.Tooth || o.Course != p.Course || o.Direction == casebook.NoDirection || o.Direction == p.Direction {
			continue
		}
		r.pair = o
		used := r.pairUsed()
		r.pair = p
		if used && (j < i || !r.nothing(o)) {
			return true
		}
	}
	return false
}

// nothing reports a pair whose plan is 0 and whose outcome is 0 or none.
func (r *Reader) nothing(p *layout.Pair) bool {
	for _, f := range ofPair {
		c, n := r.t.Sheet.At(r.cells, p.Cols[f])
		if f == columns.Planned && !r.zero(c) || f == columns.EndPosition && c.Kind != sheet.Blank {
			return false
		}
		if c.Kind != sheet.Blank && !r.zero(c) && !r.silent(f, c, n) {
			return false
		}
	}
	return true
}

// zero reports a cell that holds the number 0.
func (r *Reader) zero(c sheet.Cell) bool {
	switch {
	case !strings.Contains(c.Text, "0"): // most cells
	case c.Kind == sheet.Number:
		a, err := values.StoredNumber(c.Text)
		return err == nil && a.Value == 0
	case c.Kind == sheet.String:
		a, err := r.AmountIn(c.Text)
		return err == nil && a.Value == 0 && a.Word == ""
	}
	return false
}

func (r *Reader) readMovement() {
	m := &r.movement
	*m = casebook.Movement{}
	m.Case, m.Course = r.caseAndCourse()
	teeth := r.teeth()
	r.teethOfRow = teeth
	axis, dir := r.axis()
	m.Axis = axis
	m.Style, m.Shape = r.style()
	r.noteSaid(m)
	whole := r.attachment()
	m.Orientation = word(r, columns.Orientation, values.ParseOrientation)
	m.Staging = word(r, columns.Staging, values.ParseStaging)
	m.Lost = optionalField(r, columns.Lost, values.ParseYesNo)
	m.LostMonth = r.count(columns.LostMonth)
	m.SizeMM = r.featureSize()
	whole.add(m)
	r.plain(casebook.MovementKind, m)
	m.StatedPercent = r.percent()
	if r.unitOfAxis = axis.Unit(); axis != casebook.NoAxis && !r.inBothUnits() {
		r.amounts(m, dir)
	}
	r.feature(*m)
	for _, m.Tooth = range teeth {
		r.Batch.Movements = append(r.Batch.Movements, casebook.Record[casebook.Movement]{Value: *m, Source: r.row.Source()})
		r.row.Moves++
	}
}

// has reports a column of the field, of the pair or of the table.
func (r *Reader) has(f columns.Field) bool {
	return r.pair != nil && r.pair.Cols[f] > 0 || r.t.Has(f)
}

// feature refuses a feature described, or lost, where there is none.
func (r *Reader) feature(m casebook.Movement) {
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

const largestFeature = 15 // mm; wider than any crown

func (r *Reader) featureSize() casebook.Opt[float64] {
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
func (r *Reader) percent() casebook.Opt[float64] {
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
	if r.plan.Fraction && !a.Percent {
		a = a.Times(100)
	}
	switch r.plan.Percent {
	case "missing":
		a.Value = 100 - a.Value
	case "leave":
		return casebook.Opt[float64]{}
	}
	if a.Value < -200 || a.Value > 300 {
		r.notes.Put(r.problem(rules.PercentUnlikely, col, c.Kind, "the stated percentage is implausible"))
	}
	return casebook.Some(a.Value)
}

// readRepeat reads a second measurement.
func (r *Reader) readRepeat() {
	rep := casebook.Repeat{Case: r.caseKey(), Course: r.courseNumber(), Tooth: r.tooth()}
	r.teethOfRow = r.one(rep.Tooth)
	axis, dir := r.axis()
	rep.Axis = axis
	if r.unitOfAxis = axis.Unit(); axis == casebook.NoAxis || r.inBothUnits() {
		return
	}
	if u := word(r, columns.Unit, values.ParseUnit); u != casebook.NoUnit && u != axis.Unit() {
		c, col := r.at(columns.Unit)
		r.reject(rules.UnitAgainstAxis, col, c.Kind, "the unit does not fit the axis")
	}
	for i, to := range []*float64{&rep.First, &rep.Second} {
		f := []columns.Field{columns.First, columns.Second}[i]
		before := len(r.row.Errors())
		a, ok, _ := r.amount(f, axis, dir)
		if !ok && len(r.row.Errors()) == before {
			c, col := r.at(f)
			r.reject(rules.ValueMissing, col, c.Kind, "the measurement is missing")
		}
		if *to = a.Value; ok {
			r.limits(f, axis, a.Value)
		}
	}
	r.row.Repeat = &rep
}
