package layout

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// required refuses a table that lacks a column without which its records
// cannot be read.
func (f *Found) required(t *Table) {
	half := f.halfPair(t)
	for _, d := range columns.Of(t.Kind) {
		if half && slices.Contains(pairFields, d.Field) {
			continue
		}
		if d.Required && !f.present(t, d) && !f.askColumn(t, d) && !f.askStatus(t, d) && !t.waits(d.Field) {
			p := f.add(rules.ColumnMissing, t.Sheet, "the sheet has no column %q", d.Header)
			p.Row, p.Column = t.Header, d.Header
			p.Remedy = fmt.Sprintf("Add the column, or say which one it is with --answer \"column %s=HEADER\", its own header in the place of HEADER, or in a mapping file", d.Field)
			if near := t.nearest(d); near != "" {
				p.Remedy = fmt.Sprintf("Did you mean %s? Rename the column, or name it in a mapping file", near)
			}
		}
	}
	for _, c := range t.orphans() {
		p := f.add(rules.ColumnMissing, t.Sheet, "the column of a movement has no column of planned amounts beside it")
		p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
		p.Remedy = t.lonelyRemedy(c, columns.Planned)
	}
	for _, c := range slices.Concat(t.unreadAmounts(), t.ofNoMovement()) {
		p := f.add(rules.ColumnAmbiguous, t.Sheet, "the header names amounts, and of which movement is not clear")
		p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
		p.Remedy = fmt.Sprintf("Name the axis in full, such as \"extrusion planned\"; or say what the column holds, with --answer \"column style=%[1]s\", another field in the place of style, or \"column ignore=%[1]s\"; or declare it in a mapping file", t.nameOf(slices.IndexFunc(t.Columns, func(o Column) bool { return o.Col == c.Col })))
	}
	for _, pair := range t.Pairs {
		if pair.Cols[columns.Achieved] == 0 && pair.Cols[columns.Residual] == 0 && pair.Cols[columns.EndPosition] == 0 {
			if pair.Cols[columns.StatedPercent] > 0 {
				continue
			}
			col := pair.Cols[columns.Planned]
			if slices.Contains(t.waiting, col) {
				continue
			}
			p := f.add(rules.ColumnMissing, t.Sheet, "the column of planned amounts has no column of achieved amounts beside it")
			p.Cell, p.Column = sheet.Ref(t.Header, col), t.HeaderOf(col)
			if c, ok := t.ColumnAt(col); ok {
				p.Remedy = t.lonelyRemedy(c, columns.Achieved)
			}
		}
	}
}

// lonelyRemedy says what to do with a column of amounts of one movement whose partner is
// not found.
func (t *Table) lonelyRemedy(c Column, partner columns.Field) string {
	header := t.nameOf(slices.IndexFunc(t.Columns, func(o Column) bool { return o.Col == c.Col }))
	what := partner.String()
	switch {
	case c.Direction != casebook.NoDirection:
		what += " " + c.Direction.String()
	case c.Axis != casebook.NoAxis:
		what += " " + c.Axis.String()
	}
	return fmt.Sprintf("Add the column; or say which one it is with --answer \"column %s=HEADER\", its own header in the place of HEADER, or in a mapping file; or leave this one out with --answer \"column %s=%s\"", what, mapping.Ignore, header)
}

func (f *Found) present(t *Table, d columns.Def) bool {
	if t.Has(d.Field) {
		return true
	}
	switch d.Field {
	case columns.Course:
		// Without it the course is asked, once for the file.
		if t.Kind == casebook.CourseKind {
			return false
		}
		if len(t.Pairs) > 0 && t.Pairs[0].Course > 0 {
			return true
		}
		t.Constants[columns.Course] = "1"
		t.CourseOpen = true
		return true
	case columns.Planned:
		return len(t.Pairs) > 0
	case columns.Tooth:
		return len(t.Pairs) > 0 && allPairs(t, func(p Pair) bool { return p.Tooth != "" })
	case columns.Axis:
		return len(t.Pairs) > 0 && allPairs(t, func(p Pair) bool { return p.Axis != casebook.NoAxis }) ||
			t.Has(columns.Direction)
	case columns.Achieved:
		if len(t.Pairs) > 0 || t.Has(columns.Residual) || t.Has(columns.EndPosition) && t.Has(columns.StartPosition) {
			return true
		}
		if t.Has(columns.StatedPercent) {
			return true
		}
	}
	return false
}

// unreadAmounts lists the columns of a wide sheet that are not read although
// their header names planned or achieved amounts: a movement would be lost.
func (t *Table) unreadAmounts() []Column {
	var out []Column
	for i, c := range t.Columns {
		if len(t.Pairs) == 0 || c.Field != columns.NoField || c.Declared || slices.Contains(t.undecided, i) {
			continue
		}
		for word := range strings.FieldsSeq(values.Key(c.Text)) {
			if f, ok := role([]string{strings.Trim(word, "()[],")}); ok && (f == columns.Planned || f == columns.Achieved) {
				out = append(out, c)
				break
			}
		}
	}
	return out
}

func allPairs(t *Table, ok func(Pair) bool) bool {
	for _, p := range t.Pairs {
		if !ok(p) {
			return false
		}
	}
	return true
}

// nearest names the unread column whose header is closest to a name of the field.
func (t *Table) nearest(d columns.Def) string {
	best, out := 3, "" // at most two letters away
	for _, c := range t.Columns {
		if c.Field != columns.NoField {
			continue
		}
		bare, _ := stripUnit(c.Text)
		for _, name := range append([]string{d.Header}, d.Synonyms...) {
			if n := values.Distance(values.Key(bare), values.Key(name)); n < best && n*3 <= len(name) {
				best, out = n, fmt.Sprintf("%q (%s)", c.Text, sheet.Ref(t.Header, c.Col))
			}
		}
	}
	return out
}
