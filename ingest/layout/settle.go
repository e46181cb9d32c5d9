package layout

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// settle lets the values of the columns decide what their headers leave open:
// a header that is not understood whole is a field only where the values fit,
// and of two fields that a header may name, the values choose.
func (t *Table) settle() {
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Declared || c.Field == columns.NoField || c.Canonical && c.Alt == columns.NoField {
			continue
		}
		p := t.profile(c.Col)
		switch {
		case c.Outcome && p.n > 0:
			c.Header = t.outcome(c, p)
		case p.fits(c.Field):
		case p.shows(c.Alt) && (c.Alt != columns.Case || !t.names(columns.Case)):
			c.Field, c.Canonical = c.Alt, false
		case c.Weak, p.amounts == 0 && named[c.Field]:
			c.Header = Header{}
		}
	}
	t.fitting()
	t.sharesAsOutcomes()
	t.statusByValues()
	t.marks()
	t.axisByValues()
	t.weakBesideStrong()
	t.refinementsOrCourse()
	for _, c := range t.Columns {
		if c.Field == columns.StatedPercent {
			t.highShares = t.sharesAsHigh(c.Col)
		}
	}
}

// sharesAsOutcomes takes a column that is named after what was achieved and holds percentages
// alone for stated shares; of what they are shares is asked.
func (t *Table) sharesAsOutcomes() {
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Field != columns.Achieved || c.Declared {
			continue
		}
		all, shares := 0, 0
		for _, r := range t.Sheet.Rows {
			v := r.At(c.Col)
			if r.Number < t.Body || v.Kind == sheet.Blank || values.IsMissing(v.Text, nil) {
				continue
			}
			if all++; v.Percent || strings.HasSuffix(strings.TrimSpace(v.Text), "%") {
				shares++
			}
		}
		if all > 0 && shares == all {
			c.Field, c.Canonical, c.Weak = columns.StatedPercent, false, false
		}
	}
}

// names reports a column whose header is a field, before columns are indexed.
func (t *Table) names(f columns.Field) bool {
	return slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Field == f })
}

// named are fields whose header may be as little as "before", "after" or "left", so
// that a column without one amount is something else.
var named = map[columns.Field]bool{columns.StartPosition: true, columns.EndPosition: true, columns.TargetPosition: true, columns.Residual: true}

// marks finds columns that say yes or no to one style each; two of them, or one
// beside a plain column of the attachment, say who designed it.
func (t *Table) marks() {
	var at []int
	for i, c := range t.Columns {
		if c.Field != columns.Style || c.Declared || c.Mark == casebook.NoStyle {
			continue
		}
		if p := t.profile(c.Col); p.n > 0 && p.mostly(p.yesNo+p.octantOnes()) {
			at = append(at, i)
		}
	}
	if len(at) == 1 && t.Columns[at[0]].Mark == casebook.StyleNone && t.hasPlainStyle(at[0]) {
		t.NoneCol = t.Columns[at[0]].Col
		t.Columns[at[0]].Header = Header{}
		return
	}
	if len(at) < 2 {
		return
	}
	t.Marks = map[int]casebook.Style{}
	for _, i := range at {
		t.Marks[t.Columns[i].Col] = t.Columns[i].Mark
		t.Columns[i].Header = Header{Field: columns.NoField, Mark: t.Columns[i].Mark}
	}
}

// ratings says for the column of wear whether it was rated before the outcome was
// known, where its header does. Of two ratings the earlier one is read: only that
// can adjust for anything.
func (t *Table) ratings() {
	at := map[casebook.Timing]int{}
	for i, c := range t.Columns {
		switch c.Field {
		case columns.Wear:
			if at[c.Rated] = i; c.Rated == casebook.NoTiming {
				return
			}
		case columns.WearRecorded:
			return
		}
	}
	early, two := at[casebook.BeforeOutcome]
	if late, ok := at[casebook.AfterOutcome]; ok && two && !t.Columns[late].Declared {
		t.Columns[late].Header = Header{}
	} else if ok {
		early, two = late, true
	}
	if len(at) > 0 && two {
		t.Constants[columns.WearRecorded] = t.Columns[early].Rated.String()
	}
}

// hasPlainStyle reports another column of the style.
func (t *Table) hasPlainStyle(but int) bool {
	for i, c := range t.Columns {
		if i != but && c.Field == columns.Style {
			return true
		}
	}
	return false
}

// fitting gives up columns whose values cannot be those of their field where another
// column of the field has values that can: "Plan of" with months beside "Planned".
func (t *Table) fitting() {
	fits := map[columns.Field]int{}
	odd := map[columns.Field][]int{}
	for i, c := range t.Columns {
		if c.Field == columns.NoField || c.Declared || c.wide() {
			continue
		}
		if p := t.profile(c.Col); p.n > 0 && p.fits(c.Field) {
			fits[c.Field]++
		} else if p.n > 0 {
			odd[c.Field] = append(odd[c.Field], i)
		}
	}
	for f, at := range odd {
		for _, i := range at {
			if fits[f] > 0 { // each column by itself: any order
				t.Columns[i].Header = Header{}
			}
		}
	}
}

// statusByValues takes a column named after the end whose values are no dates as the
// status, where no other is: "Abschluss: abgebrochen".
func (t *Table) statusByValues() {
	at := -1
	for i, c := range t.Columns {
		switch c.Field {
		case columns.Status:
			return
		case columns.EndMonth:
			if p := t.profile(c.Col); !c.Declared && p.n > 0 && p.dates == 0 && p.numbers == 0 {
				at = i
			}
		}
	}
	if at >= 0 && allowed[t.Kind][columns.Status] {
		t.Columns[at].Header = Header{Field: columns.Status}
	}
}

// axisByValues takes a column whose values are movements as the axis where no
// header names one: nothing else is written so.
func (t *Table) axisByValues() {
	if t.Kind != casebook.MovementKind {
		return
	}
	var found []int
	for i, c := range t.Columns {
		if c.Field == columns.Axis || c.wide() {
			return
		}
		if p := t.profile(c.Col); !c.Declared && (c.Field == columns.NoField || c.Field == columns.Direction) && p.mostly(p.axes) {
			found = append(found, i)
		}
	}
	if len(found) == 1 && t.Columns[found[0]].Field == columns.NoField {
		t.Columns[found[0]].Header = Header{Field: columns.Axis}
	}
}

// weakBesideStrong gives up a header that is not understood whole where another
// column names the field plainly, and in a wide sheet.
func (t *Table) weakBesideStrong() {
	strong, wide := map[columns.Field]bool{}, false
	for _, c := range t.Columns {
		strong[c.Field] = strong[c.Field] || !c.Weak
		wide = wide || c.wide()
	}
	for i := range t.Columns {
		c := &t.Columns[i]
		amount := c.Field == columns.Planned || c.Field == columns.Achieved
		asked := amount && t.namesMovements() // by ofMovements, where it has a partner
		if c.Weak && !c.Declared && !asked && (strong[c.Field] || wide && amount) {
			c.Header = Header{}
		}
	}
}
