package ingest

import (
	"maps"
	"slices"
	"strings"

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
	var strays strays
	for i := range r.t.Pairs {
		r.pair = &r.t.Pairs[i]
		if !r.pairUsed() {
			r.looked[r.pair.Cols[columns.Planned]] = true // at most a mark that nothing was planned
			continue
		}
		errors, moves := len(r.row.errors()), r.row.moves
		r.readMovement()
		r.looked[r.pair.Cols[columns.Achieved]] = true // it is refused with its plan, if that is
		if r.ofOneMovement(r.row.errors()[errors:]) {
			strays.take(r, errors, moves)
		}
	}
	r.pair = nil
	strays.settle(r)
}

// pairUsed reports whether a wide row says anything about the pair; where it
// does not, no such movement was planned.
func (r *rowReader) pairUsed() bool {
	for _, f := range []columns.Field{columns.Planned, columns.Achieved, columns.Residual, columns.EndPosition, columns.StatedPercent} {
		c := r.cells.At(r.pair.Cols[f])
		if c.Kind != sheet.Blank && !(f == columns.Planned && r.Unplanned[strings.TrimSpace(c.Text)]) {
			return true
		}
	}
	return false
}

func (r *rowReader) readMovement() {
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
		r.batch.Movements = append(r.batch.Movements, casebook.Record[casebook.Movement]{Value: *m, Source: r.row.source()})
		r.row.moves++
	}
}

// style reads who designed the attachment, and its shape, which some sheets keep
// in the same column.
func (r *rowReader) style() (casebook.Style, casebook.Shape) {
	shape := casebook.NoShape
	if c, col, ok := r.usable(columns.Shape); ok {
		var err error
		text := r.Meant(columns.Shape, c.Text)
		if shape, err = values.ParseShape(text); err != nil {
			if s, e := values.ParseStyle(text); e == nil && s == casebook.StyleNone && !r.has(columns.Style) {
				return casebook.StyleNone, casebook.NoShape
			}
			r.fail(err, col, c)
		}
	}
	if len(r.t.Marks) > 0 {
		return r.styleOfMarks(), shape
	}
	if yes, err := values.ParseYesNo(r.cells.At(r.t.NoneCol).Text); r.t.NoneCol > 0 && err == nil && yes {
		return casebook.StyleNone, casebook.NoShape
	}
	if c, _ := r.at(columns.Style); c.Kind == sheet.Blank && r.has(columns.Style) {
		return r.plan.Style.Blank, shape
	}
	c, col, ok := r.usable(columns.Style)
	if !ok {
		return casebook.NoStyle, shape
	}
	text := r.Meant(columns.Style, c.Text)
	if yes, err := values.ParseYesNo(text); err == nil && (r.plan.Style.YesNo || r.t.Has(columns.Changed)) {
		return r.styleOfYes(yes), shape
	}
	s, err := values.ParseStyle(text)
	if err != nil {
		if a, ok := values.ParseAttachment(text); ok {
			return a.Style, max(a.Shape, shape)
		}
		if sh, e := values.ParseShape(text); e == nil && shape == casebook.NoShape {
			return casebook.NoStyle, sh
		}
		r.fail(err, col, c)
	}
	return s, shape
}

// styleOfMarks reads the columns that say yes or no to one style each: the one
// that says yes. Where each says no, and none of them is the column of no
// attachment, there was none.
func (r *rowReader) styleOfMarks() casebook.Style {
	said, asksNone, no := casebook.NoStyle, false, 0
	for _, col := range slices.Sorted(maps.Keys(r.t.Marks)) {
		style := r.t.Marks[col]
		asksNone = asksNone || style == casebook.StyleNone
		c := r.cells.At(col)
		if c.Kind == sheet.Blank {
			continue
		}
		yes, err := values.ParseYesNo(c.Text)
		switch {
		case err != nil || yes && said != casebook.NoStyle:
			r.cost(r.problem(rules.StyleUnknown, col, c.Kind, "the columns of the attachment cannot be read together"), columns.Style)
			return casebook.NoStyle
		case yes:
			said = style
		default:
			no++
		}
	}
	if said == casebook.NoStyle && !asksNone && no == len(r.t.Marks) {
		return casebook.StyleNone
	}
	return said
}

// whole is an attachment that one cell describes.
type whole values.Attachment

// attachment reads a cell of the style that describes the whole attachment.
func (r *rowReader) attachment() whole {
	c, _ := r.at(columns.Style)
	if c.Kind != sheet.String {
		return whole{}
	}
	a, _ := values.ParseAttachment(c.Text)
	return whole(a)
}

// add gives a movement what no column of its own says.
func (w whole) add(m *casebook.Movement) {
	if m.Orientation == casebook.NoOrientation {
		m.Orientation = w.Orientation
	}
	if !m.SizeMM.OK {
		m.SizeMM = w.SizeMM
	}
	if w.Lost && !m.Lost.OK {
		m.Lost = casebook.Some(true)
	}
}

// styleOfYes joins "was there an attachment" with "did the clinician change it".
func (r *rowReader) styleOfYes(yes bool) casebook.Style {
	if !yes {
		return casebook.StyleNone
	}
	changed := optionalField(r, columns.Changed, values.ParseYesNo)
	switch {
	case changed.OK && changed.Value:
		return casebook.ClinicianDesigned
	case changed.OK:
		return casebook.SoftwareSuggested
	}
	return r.plan.Style.Yes
}

// has reports a column of the field, of the pair or of the table.
func (r *rowReader) has(f columns.Field) bool {
	return r.pair != nil && r.pair.Cols[f] > 0 || r.t.Has(f)
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

// tooth reads the one tooth of a row.
func (r *rowReader) tooth() casebook.Tooth {
	if all := r.teeth(); len(all) > 0 {
		return all[0]
	}
	return 0
}

// teeth reads the tooth of a row, or each of several in one cell where that was
// allowed. What cannot be read is one tooth 0, and rejects the row.
func (r *rowReader) teeth() []casebook.Tooth {
	if r.pair != nil && r.pair.Tooth != "" {
		t, err := values.ParseTooth(r.pair.Tooth).In(r.NotationOf(r.t))
		if err != nil {
			r.fail(err, r.pair.Cols[columns.Planned], sheet.Cell{Kind: sheet.String})
		}
		return r.one(t)
	}
	c, col, ok := r.need(columns.Tooth)
	if !ok {
		return r.one(0)
	}
	if c.Kind == sheet.Date {
		r.reject(rules.ToothDate, col, c.Kind, "the tooth was turned into a date")
		return r.one(0)
	}
	if r.plan.Composed {
		return r.one(r.composedTooth(c, col))
	}
	parts := append(r.oneText[:0], c.Text)
	if several := r.several(c.Text); len(several) > 1 {
		parts = several
	}
	out := r.oneTooth[:0]
	for _, part := range parts {
		if r.Unten {
			part = values.FromGerman(part)
		}
		t, err := values.ParseTooth(part).In(r.NotationOf(r.t))
		if err != nil {
			r.fail(err, col, c)
		} else {
			r.inQuadrant(t, col, c)
		}
		out = append(out, t)
	}
	return out
}

// several are the teeth of a cell, where cells of several were allowed.
func (r *rowReader) several(text string) []string {
	if !r.SeveralTeeth {
		return nil
	}
	return values.Teeth(text)
}

// one is a list of one tooth, until the next.
func (r *rowReader) one(t casebook.Tooth) []casebook.Tooth {
	r.oneTooth[0] = t
	return r.oneTooth[:]
}

// quadrant reads the quadrant of a row from its own column, or from arch and
// side: "" where none of them is filled or one cannot be read.
func (r *rowReader) quadrant() string {
	read := func(f columns.Field, parse func(string) string) string {
		c, _, ok := r.usable(f)
		if !ok {
			return ""
		}
		return parse(c.Text)
	}
	if q := read(columns.Quadrant, values.ParseQuadrant); q != "" {
		return q
	}
	arch, side := read(columns.Arch, values.ParseArch), read(columns.Side, values.ParseSide)
	if arch == "" || side == "" {
		return ""
	}
	return arch + side
}

// composedTooth joins a number from 1 to 8 with its quadrant.
func (r *rowReader) composedTooth(c sheet.Cell, col int) casebook.Tooth {
	q := r.quadrant()
	if q == "" {
		r.reject(rules.ToothUnknown, col, c.Kind, "the quadrant beside the tooth is blank or cannot be read")
		return 0
	}
	t, err := values.ParseTooth(q + strings.TrimSuffix(strings.TrimSpace(c.Text), ".0")).In(casebook.Palmer)
	if err != nil {
		r.fail(err, col, c)
	}
	return t
}

// inQuadrant refuses a tooth that its own quadrant column contradicts.
func (r *rowReader) inQuadrant(t casebook.Tooth, col int, c sheet.Cell) {
	if q := r.quadrant(); q != "" && t != 0 && t.In(casebook.Palmer)[:2] != q {
		r.reject(rules.ToothUnknown, col, c.Kind, "the tooth is not in the quadrant that stands beside it")
	}
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
		if axis, dir, err = values.ParseAxis(r.Meant(columns.Axis, c.Text)); err != nil {
			if d, ok := r.atTooth(r.Meant(columns.Axis, c.Text), casebook.NoAxis); ok {
				return d.Axis(), d
			}
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
		r.notes.put(r.problem(rules.PercentUnlikely, col, c.Kind, "the stated percentage is implausible"))
	}
	return casebook.Some(a.Value)
}

// readRepeat reads a second measurement.
func (r *rowReader) readRepeat() {
	rep := casebook.Repeat{Case: r.caseKey(), Course: r.courseNumber(), Tooth: r.tooth()}
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
		before := len(r.row.errors())
		a, ok, _ := r.amount(f, axis, dir)
		if !ok && len(r.row.errors()) == before {
			c, col := r.at(f)
			r.reject(rules.ValueMissing, col, c.Kind, "the measurement is missing")
		}
		if *to = a.Value; ok {
			r.limits(f, axis, a.Value)
		}
	}
	r.row.repeat = &rep
}

// atTooth reads a direction that is another one for another tooth; all teeth of the
// row must agree.
func (r *rowReader) atTooth(text string, axis casebook.Axis) (casebook.Direction, bool) {
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

// styleNotFound says that nothing will be compared, and which columns were not
// read.
func (r *reader) styleNotFound() []casebook.Problem {
	if len(r.batch.Movements) == 0 {
		return nil
	}
	for _, m := range r.batch.Movements {
		if m.Value.Style != casebook.NoStyle {
			return nil
		}
	}
	var unread []string
	for _, t := range r.Tables {
		for _, c := range t.Columns {
			if c.Field == columns.NoField && !slices.Contains(unread, c.Text) && len(unread) < 8 {
				unread = append(unread, c.Text)
			}
		}
	}
	text := "no attachment style was found; every comparison of styles will be empty"
	if len(unread) > 0 {
		text += "; columns not read: " + strings.Join(unread, ", ")
	}
	p := rules.New(rules.StyleNotFound, "%s", text)
	p.File = r.Book.File.Name
	return []casebook.Problem{p}
}
