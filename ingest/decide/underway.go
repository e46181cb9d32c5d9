package decide

import (
	"fmt"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// UnderWay is the answer that a blank status without an end is a case still treated.
const UnderWay = "under way"

// Unended reports a row of a list of cases that gives neither a status nor an end.
func (r *File) Unended(t *layout.Table, row sheet.Row) bool {
	col := t.Find(columns.Status)
	if t.Kind != casebook.CaseKind || col == 0 || row.At(col).Kind != sheet.Blank {
		return false
	}
	end := row.At(t.Find(columns.EndMonth))
	return end.Kind == sheet.Blank || end.Kind == sheet.String && values.IsMissing(end.Text, r.Missing)
}

// decideUnderWay asks what a blank status means where the case has no end either: a
// log that says how each case ended has nothing to say of one that has not. A blank
// beside an end is refused where its row is read, and so are all where the column says
// nothing of any case.
func (r *File) decideUnderWay() {
	q := question.Question{ID: "blank status", Rule: string(rules.ValueMissing)}
	n, ends, stated := 0, true, false
	for _, t := range r.Tables {
		if t.Kind != casebook.CaseKind {
			continue
		}
		r.eachRow(t, func(row sheet.Row) {
			if !r.Unended(t, row) {
				stated = stated || row.At(t.Find(columns.Status)).Kind != sheet.Blank
				return
			}
			if n++; n == 1 {
				col := t.Find(columns.Status)
				q.Sheet, q.Cell, q.Column = t.Sheet.Name, sheet.Ref(row.Number, col), t.HeaderOf(col)
			}
			ends = ends && t.Has(columns.EndMonth)
			if len(q.Examples) < 3 {
				q.Examples = append(q.Examples, unendedExample(t, row))
			}
		})
	}
	if n == 0 || !stated {
		return
	}
	which := "which have no end either"
	if !ends {
		which = "of which no end is given"
	}
	rows := "1 row"
	if n > 1 {
		rows = fmt.Sprint(n, " rows")
	}
	q.Text = fmt.Sprintf("the status is blank in %s, %s: are these cases still under way?", rows, which)
	q.Choices = []question.Choice{
		{Word: UnderWay, Text: "yes, they are still under treatment", Count: n},
		{Word: NotRecorded, Text: "no, how they stand was not written down; they are kept without a status", Count: n},
	}
	r.BlankStatus = r.Asker.Ask(q)
}

// unendedExample is a row in plain words, without the code of its case.
func unendedExample(t *layout.Table, row sheet.Row) string {
	s := fmt.Sprintf("row %d: no status", row.Number)
	if t.Has(columns.EndMonth) {
		s += ", no end"
	}
	c := row.At(t.Find(columns.StartMonth))
	if m, err := values.Serial(c.Text, false); c.Kind == sheet.Date && err == nil {
		return s + ", start " + m.String()
	}
	if text := strings.TrimSpace(c.Text); c.Kind == sheet.String && text != "" && len(text) <= len("31 September 2026") {
		return s + ", start " + text
	}
	return s
}
