package layout

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// nameOf is how an answer names a column: its header, or its letter where
// another column has the same one.
func (t *Table) nameOf(i int) string {
	c := t.Columns[i]
	for j, o := range t.Columns {
		if j != i && o.Text == c.Text {
			return "(" + sheet.ColumnName(c.Col) + ")"
		}
	}
	return c.Text
}

// choicesOf makes one choice of each column that a field may be, with three of its
// values, or for codes what they look like.
func (t *Table) choicesOf(field columns.Field, at []int) []question.Choice {
	var out []question.Choice
	for _, i := range at {
		c := t.Columns[i]
		text, masked := "column "+sheet.ColumnName(c.Col), false
		if codes := t.codesOf(c.Col); field == columns.Case && codes != "" {
			text, masked = text+": "+codes, true
		} else if shown := t.firstValues(c.Col, 3); len(shown) > 0 {
			text += ": " + strings.Join(shown, ", ")
		}
		out = append(out, question.Choice{Word: t.nameOf(i), Text: text, Masked: masked})
	}
	return out
}

// firstValues gives the first numbers and short words of a column.
func (t *Table) firstValues(col, n int) []string {
	var out []string
	for _, r := range t.Sheet.Rows {
		c := r.At(col)
		if r.Number < t.Body || c.Kind == sheet.Blank || len(c.Text) > 24 {
			continue
		}
		if c.Kind != sheet.Number && !knownValue(c.Text) {
			continue // a text that is no word of the trade is not repeated
		}
		if out = append(out, c.Text); len(out) == n {
			break
		}
	}
	return out
}

// knownValue reports a number or a word of the trade, which cannot identify
// anybody.
func knownValue(text string) bool {
	p := newProfile()
	p.note(sheet.Cell{Kind: sheet.String, Text: text}, 1)
	return p.amounts+p.teeth+p.axes+p.directions+p.styles+p.shapes+p.yesNo+p.orientations+p.statuses+p.courses+p.wears > 0
}

// askWhich asks which of several columns is the field that all of them name.
func (f *Found) askWhich(t *Table, at []int) {
	field := t.Columns[at[0]].Field
	second := t.Columns[at[1]]
	word := f.asker.Ask(question.Question{
		ID: "column " + field.String(), Rule: string(rules.ColumnAmbiguous), Sheet: t.Sheet.Name,
		Cell: sheet.Ref(t.Header, second.Col), Column: second.Text,
		Text:    fmt.Sprintf("%d columns can be read as %s: which one is it?", len(at), field),
		Choices: t.choicesOf(field, at),
	})
	if word == "" {
		t.undecided = append(t.undecided, at...)
		return
	}
	for _, i := range at {
		if t.nameOf(i) != word {
			t.Columns[i].Header = Header{}
		}
	}
}

// candidatesFor lists the unread columns whose values can be those of a field.
func (t *Table) candidatesFor(field columns.Field) []int {
	var out []int
	for i, c := range t.Columns {
		free := c.Field == columns.NoField || field == columns.Achieved && c.Field == columns.EndPosition
		if free && !c.Declared && !c.wide() && t.canBe(c.Col, field) {
			out = append(out, i)
		}
	}
	return out
}

// canBe reports that the values of a column can be those of a required field.
func (t *Table) canBe(col int, field columns.Field) bool {
	p := t.profile(col)
	switch field {
	case columns.Tooth:
		return p.mostly(p.teeth) && (!p.mostly(p.octant) || t.Has(columns.Quadrant))
	case columns.Axis:
		return p.some(p.axes) || p.some(p.directions)
	case columns.Planned, columns.Achieved:
		return p.mostly(p.amounts) && !p.mostly(p.dates-p.decimals) && (p.some(p.numbers) || !p.mostly(p.teeth))
	case columns.Case:
		return p.n > 0 && !p.some(p.decimals) && !p.some(p.dates) && p.negative == 0 && len(p.distinct) > 1 && !p.mostly(p.axes) && !p.mostly(p.teeth-p.octant) &&
			!p.mostly(p.styles) && !p.mostly(p.shapes) && !p.fewWords() && !t.repeats(col)
	case columns.First, columns.Second:
		return p.mostly(p.amounts)
	case columns.Status:
		return p.some(p.statuses)
	}
	return false
}

// waits reports that a required field may be a column that another question is about:
// only its answer can tell whether it is missing.
func (t *Table) waits(field columns.Field) bool {
	return slices.ContainsFunc(t.undecided, func(i int) bool { return t.canBe(t.Columns[i].Col, field) })
}

// askColumn asks which column holds a required field that no header names; it
// reports whether there was anything to ask.
func (f *Found) askColumn(t *Table, d columns.Def) bool {
	at := t.candidatesFor(d.Field)
	if len(at) == 0 || len(at) > 8 {
		return false
	}
	q := question.Question{
		ID: "column " + d.Field.String(), Rule: string(rules.ColumnMissing), Sheet: t.Sheet.Name, Row: t.Header, Column: d.Header,
		Text: fmt.Sprintf("no header names the column %q: which one is it?", d.Header), Choices: t.choicesOf(d.Field, at),
	}
	if near := t.nearest(d); near != "" {
		q.Text = fmt.Sprintf("no header names the column %q, unless %s is meant: which one is it?", d.Header, near)
	}
	if len(at) == 1 {
		q.Proposed = q.Choices[0].Word
	}
	word := f.asker.Ask(q)
	f.takeAnswer(t, at, word, d.Field)
	return true
}

// takeAnswer reads, of the columns that were offered, the one that an answer names as
// the field.
func (f *Found) takeAnswer(t *Table, at []int, word string, field columns.Field) {
	for _, i := range at {
		if t.nameOf(i) != word {
			continue
		}
		t.Columns[i].Field, t.Columns[i].Weak = field, false
		t.index()
		ref := sheet.Ref(t.Header, t.Columns[i].Col)
		f.Problems = slices.DeleteFunc(f.Problems, func(p casebook.Problem) bool {
			return p.Rule == string(rules.ColumnUnread) && p.Sheet == t.Sheet.Name && p.Cell == ref
		})
		p := f.add(rules.ColumnAssumed, t.Sheet, "the column was read as %s, as answered", field)
		p.Cell, p.Column = ref, t.Columns[i].Text
	}
}

// positions settles columns of positions before, planned and after, which must
// not be read as movements.
func (f *Found) positions(t *Table) {
	at := map[columns.Field]int{}
	for i, c := range t.Columns {
		if _, ok := at[c.Field]; !ok && !c.wide() {
			at[c.Field] = i
		}
	}
	if len(t.Pairs) > 0 || t.Kind != casebook.MovementKind || f.declared.Planned != "" || f.declared.Achieved != "" {
		return
	}
	start, hasStart := at[columns.StartPosition]
	target, hasTarget := at[columns.TargetPosition]
	end, hasEnd := at[columns.EndPosition]
	planned, hasPlanned := at[columns.Planned]
	achieved, hasAchieved := at[columns.Achieved]
	if hasPlanned && hasAchieved && (hasTarget || hasEnd) || !hasStart || !hasPlanned && !hasTarget || !hasAchieved && !hasEnd {
		return
	}
	if !hasPlanned {
		planned = target
	}
	if !hasAchieved {
		achieved = end
	}
	if t.Columns[start].Declared && t.Columns[achieved].Declared {
		return // the mapping says what they are
	}
	if hasTarget && hasEnd && !hasPlanned && !hasAchieved {
		t.asPositions(target, end)
		f.add(rules.LayoutAssumed, t.Sheet, "the columns hold positions before, planned and after; movements were computed from them")
		return
	}
	t.askPositions(f, start, planned, achieved)
}

func (t *Table) asPositions(planned, achieved int) {
	t.Columns[planned].Field, t.Columns[achieved].Field = columns.Planned, columns.EndPosition
	t.PlannedAs, t.AchievedAs = "end position", "end position"
	t.index()
}

func (t *Table) askPositions(f *Found, start, planned, achieved int) {
	s, p, a := t.nameOf(start), t.nameOf(planned), t.nameOf(achieved)
	q := question.Question{
		ID: "positions", Rule: string(rules.ColumnAmbiguous), Sheet: t.Sheet.Name,
		Cell: sheet.Ref(t.Header, t.Columns[achieved].Col), Column: t.Columns[achieved].Text,
		Text: fmt.Sprintf("do %q, %q and %q hold positions, or are the last two movements already?", s, p, a),
		Choices: []question.Choice{
			{Word: "positions", Text: "planned movement is " + p + " less " + s + ", achieved is " + a + " less " + s},
			{Word: "movements", Text: p + " and " + a + " are movements; " + s + " is not needed"},
			{Word: "plan is movement", Text: p + " is a movement, achieved is " + a + " less " + s},
		},
		Proposed: "positions", Examples: t.positionExamples(start, planned, achieved),
	}
	switch f.asker.Ask(q) {
	case "positions":
		t.asPositions(planned, achieved)
	case "movements":
		t.Columns[start].Header = Header{}
		t.Columns[planned].Field, t.Columns[achieved].Field = columns.Planned, columns.Achieved
		t.PlannedAs, t.AchievedAs = "movement", "movement"
	case "plan is movement":
		t.Columns[planned].Field, t.Columns[achieved].Field = columns.Planned, columns.EndPosition
		t.PlannedAs, t.AchievedAs = "movement", "end position"
	default:
		// Whatever they are, nothing is missing: the question stands.
		t.Columns[planned].Field, t.Columns[achieved].Field = columns.Planned, columns.Achieved
		t.PlannedAs, t.AchievedAs = "movement", "movement"
	}
	t.index()
}

// positionExamples shows the arithmetic of the first rows.
func (t *Table) positionExamples(start, planned, achieved int) []string {
	var out []string
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || len(out) == 3 {
			continue
		}
		s, p, a := r.At(t.Columns[start].Col), r.At(t.Columns[planned].Col), r.At(t.Columns[achieved].Col)
		if s.Kind == sheet.Number && p.Kind == sheet.Number && a.Kind == sheet.Number {
			out = append(out, fmt.Sprintf("row %d: planned %s - %s, achieved %s - %s", r.Number, p.Text, s.Text, a.Text, s.Text))
		}
	}
	return out
}
