package layout

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// ofMovements gives the columns of amounts of a wide sheet that name no movement the one
// they belong to: an outcome that of the plan beside it, a pair what is answered. What
// stays without one would be read of no movement at all.
func (f *Found) ofMovements(t *Table) {
	if !t.namesMovements() && !t.saysNothingElse() {
		return
	}
	f.askUnknown(t)
	if !t.namesMovements() {
		return
	}
	t.besideTheirPlans(f)
	f.askOutcomes(t)
	for _, plan := range t.loose(columns.Planned) {
		at := t.nearestOf(plan, t.loose(columns.Achieved, columns.Residual))
		if at < 0 && t.behind(plan, t.candidatesFor(columns.Achieved)) {
			at = plan + 1
		}
		if at >= 0 {
			f.askMovement(t, plan, at)
		}
	}
	for _, i := range t.loose(columns.Planned, columns.Achieved, columns.Residual) {
		if c := &t.Columns[i]; (c.Weak || c.Field == columns.Residual) && !c.Declared {
			c.Header = Header{}
		}
	}
}

// ofNoMovement lists the columns of a wide sheet that would be read of no movement.
func (t *Table) ofNoMovement() []Column {
	var out []Column
	if t.namesMovements() {
		for _, i := range t.loose(columns.Planned, columns.Achieved) {
			out = append(out, t.Columns[i])
		}
	}
	return out
}

// namesMovements reports a sheet that has a column of plans for a movement of its own.
func (t *Table) namesMovements() bool {
	return t.Kind == casebook.MovementKind && slices.ContainsFunc(t.Columns, func(c Column) bool {
		return c.Field == columns.Planned && c.Axis != casebook.NoAxis
	})
}

// loose lists the columns of some amounts that belong to no movement of a wide sheet.
func (t *Table) loose(fields ...columns.Field) []int {
	var out []int
	for i, c := range t.Columns {
		if slices.Contains(fields, c.Field) && !c.wide() && !slices.Contains(t.undecided, i) {
			out = append(out, i)
		}
	}
	return out
}

// nearestOf is the one of some columns that is nearest to a column, of two as near the one
// to its right; -1 for none.
func (t *Table) nearestOf(i int, among []int) int {
	best, far := -1, 0
	for _, j := range among {
		d := 2 * (t.Columns[j].Col - t.Columns[i].Col)
		if d < 0 {
			d = 1 - d
		}
		if best < 0 || d < far {
			best, far = j, d
		}
	}
	return best
}

// besideTheirPlans gives outcomes without a movement that of a plan without an outcome:
// the one their header names, the nearest where a person said what the column is, and
// where all of them stand right behind one.
func (t *Table) besideTheirPlans(f *Found) {
	take := func(i, plan int) {
		p := t.Columns[plan].Header
		c := &t.Columns[i].Header
		c.Tooth, c.Axis, c.Direction, c.Course = p.Tooth, p.Axis, p.Direction, p.Course
		q := f.add(rules.LayoutAssumed, t.Sheet, "the column was read as what was achieved of the plan in column %s", sheet.ColumnName(t.Columns[plan].Col))
		q.Cell, q.Column = sheet.Ref(t.Header, t.Columns[i].Col), t.Columns[i].Text
	}
	outcomes := []columns.Field{columns.Achieved, columns.Residual}
	for _, i := range t.loose(outcomes...) {
		if named := t.plansAlone(i); axisIn(t.Columns[i].Text) != casebook.NoAxis && len(named) == 1 {
			take(i, named[0])
		}
	}
	for _, i := range t.loose(outcomes...) {
		if plans := t.plansAlone(i); t.Columns[i].Declared && len(plans) > 0 {
			if p := t.before(i, plans); p >= 0 {
				take(i, p)
			} else {
				take(i, t.nearestOf(i, plans))
			}
		}
	}
	rest := t.loose(outcomes...)
	for _, i := range rest {
		if t.before(i, t.plansAlone(i)) < 0 {
			return
		}
	}
	for _, i := range rest {
		take(i, t.before(i, t.plansAlone(i)))
	}
}

// before is the one of some columns that stands just before a column, -1 for none.
func (t *Table) before(i int, among []int) int {
	if i > 0 && slices.Contains(among, i-1) && t.Columns[i-1].Col == t.Columns[i].Col-1 {
		return i - 1
	}
	return -1
}

// behind reports that the column just behind one is among some that are not spoken for.
func (t *Table) behind(i int, among []int) bool {
	return i+1 < len(t.Columns) && t.Columns[i+1].Col == t.Columns[i].Col+1 && slices.Contains(among, i+1)
}

// plansAlone lists the plans of a movement that have no outcome yet, and of whose movement
// the header of a column does not speak against.
func (t *Table) plansAlone(i int) []int {
	var out []int
	for j, p := range t.Columns {
		if p.Field != columns.Planned || p.Axis == casebook.NoAxis || !t.mayBeOf(i, p.Axis) {
			continue
		}
		taken := slices.ContainsFunc(t.Columns, func(c Column) bool {
			return (c.Field == columns.Achieved || c.Field == columns.Residual || c.Field == columns.EndPosition) &&
				c.Tooth == p.Tooth && c.Axis == p.Axis && c.Direction == p.Direction && c.Course == p.Course
		})
		if !taken {
			out = append(out, j)
		}
	}
	return out
}

// mayBeOf reports a column whose header names neither another movement nor another unit.
func (t *Table) mayBeOf(i int, a casebook.Axis) bool {
	unit, named := t.Columns[i].Unit, axisIn(t.Columns[i].Text)
	if unit == casebook.NoUnit {
		_, unit = stripUnit(t.Columns[i].Text)
	}
	return (unit == casebook.NoUnit || unit == a.Unit()) && (named == casebook.NoAxis || named == a)
}

// askOutcomes asks which unread column holds what was achieved of a plan that has none.
func (f *Found) askOutcomes(t *Table) {
	for i, p := range t.Columns {
		if p.Field != columns.Planned || p.Axis == casebook.NoAxis || !slices.Contains(t.plansAlone(i), i) {
			continue
		}
		at := slices.DeleteFunc(t.candidatesFor(columns.Achieved), func(c int) bool {
			return t.Columns[c].Field != columns.NoField || !t.mayBeOf(c, p.Axis)
		})
		if len(at) == 0 || len(at) > 8 {
			continue
		}
		q := question.Question{
			ID: "achieved of " + t.nameOf(i), Rule: string(rules.ColumnMissing), Sheet: t.Sheet.Name,
			Cell: sheet.Ref(t.Header, p.Col), Column: p.Text,
			Text:    fmt.Sprintf("no header names what was achieved of %q: which column holds it?", t.nameOf(i)),
			Choices: append(t.choicesOf(columns.Achieved, at), question.Choice{Word: noneOfThem, Text: "the sheet does not say what was achieved of it"}),
		}
		if t.behind(i, at) {
			q.Proposed = t.nameOf(i + 1)
		}
		word := f.asker.Ask(q)
		if word == "" {
			t.undecided = append(t.undecided, at...)
			t.waiting = append(t.waiting, p.Col)
		}
		for _, c := range at {
			if t.nameOf(c) == word {
				h := p.Header
				h.Field, h.Canonical, h.Weak = columns.Achieved, false, false
				t.Columns[c].Header = h
			}
		}
	}
}

// axisIn is the movement that a header names among words that may not be known.
func axisIn(text string) casebook.Axis {
	axis, _, _, _ := lexicon.Axis(lexicon.Of(asHeader(lexicon.Tokens(text))))
	return axis
}

// askMovement asks which movement a plan and an outcome are of, whose headers name none
// that is known.
func (f *Found) askMovement(t *Table, plan, outcome int) {
	p, o := t.Columns[plan], t.Columns[outcome]
	q := question.Question{
		ID: "movement of " + t.nameOf(plan), Rule: string(rules.ColumnAmbiguous), Sheet: t.Sheet.Name,
		Cell: sheet.Ref(t.Header, p.Col), Column: p.Text,
		Text:    fmt.Sprintf("%q and %q hold amounts of a movement that the headers do not name, or not in words known here: which one is it?", t.nameOf(plan), t.nameOf(outcome)),
		Choices: movementsOf(p.Unit), Near: -1,
	}
	if guess := guessOf(p.Text); q.Has(guess) {
		q.Proposed = guess
	}
	if shown := t.firstValues(p.Col, 3); len(shown) > 0 {
		q.Examples = []string{fmt.Sprintf("column %s: %s", sheet.ColumnName(p.Col), strings.Join(shown, ", "))}
	}
	word := f.asker.Ask(q)
	if word == "" || word == mapping.Ignore {
		for _, i := range []int{plan, outcome} {
			t.Columns[i].Header, t.Columns[i].Declared = Header{}, word != ""
		}
		t.undecided = append(t.undecided, plan, outcome)
		return
	}
	axis, direction := mapping.MovementNamed(word)
	for _, i := range []int{plan, outcome} {
		h := &t.Columns[i].Header
		h.Axis, h.Direction, h.Weak = axis, direction, false
	}
	if h := &t.Columns[outcome].Header; h.Field == columns.NoField {
		h.Field, h.Unit = columns.Achieved, p.Unit
	}
	q2 := f.add(rules.LayoutAssumed, t.Sheet, "columns %s and %s were read as %s, as answered", sheet.ColumnName(p.Col), sheet.ColumnName(o.Col), word)
	q2.Cell, q2.Column = q.Cell, q.Column
}

// movementsOf are the movements that columns can be of, those of a unit where the header
// names one, by axis and then by direction.
func movementsOf(u casebook.Unit) []question.Choice {
	var out []question.Choice
	for _, a := range casebook.Axes() {
		if u == casebook.NoUnit || u == a.Unit() {
			out = append(out, question.Choice{Word: a.String(), Text: fmt.Sprintf("%s or %s, told apart by the sign", casebook.DirectionOf(a, 1), casebook.DirectionOf(a, -1))})
		}
	}
	for _, d := range casebook.Directions() {
		if u == casebook.NoUnit || u == d.Axis().Unit() {
			out = append(out, question.Choice{Word: d.String(), Text: d.String() + " alone"})
		}
	}
	return append(out, question.Choice{Word: mapping.Ignore, Text: "the two columns are not to be read"})
}
