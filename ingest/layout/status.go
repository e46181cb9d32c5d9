package layout

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Ended is the answer that a case with an end is completed and one without still treated.
const Ended = "ended"

// askStatus asks how the cases of a list stand that has no column of the status: nothing is
// taken from an end alone, which a case that was stopped has too. It reports whether that
// was what is missing.
func (f *Found) askStatus(t *Table, d columns.Def) bool {
	if t.Kind != casebook.CaseKind || d.Field != columns.Status || t.Find(columns.StartMonth)+t.Find(columns.EndMonth)+t.Find(columns.Refinements) == 0 {
		return false
	}
	end := t.Find(columns.EndMonth)
	ended, not := 0, 0
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || r.At(t.Find(columns.Case)).Kind == sheet.Blank {
			continue
		}
		if c := r.At(end); c.Kind != sheet.Blank && !values.IsMissing(c.Text, nil) {
			ended++
		} else {
			not++
		}
	}
	q := question.Question{ID: "case status", Rule: string(rules.ColumnMissing), Sheet: t.Sheet.Name, Row: t.Header, Column: d.Header}
	open := question.Choice{Word: "not recorded", Text: "that is not certain; the cases are kept without a status", Count: ended + not}
	if end > 0 {
		q.Text = fmt.Sprintf("the list of cases has no column \"status\" that says which were completed: are the %d with an end completed, and the %d without still under treatment?", ended, not)
		q.Choices = []question.Choice{{Word: Ended, Text: "yes; none of those with an end was stopped or went elsewhere", Count: ended}, open}
	} else {
		q.Text = fmt.Sprintf("the list of cases has no column \"status\" that says which were completed, and none for the end: are all %d completed?", not)
		q.Choices = []question.Choice{{Word: "completed", Text: "yes, all of them", Count: not}, open}
	}
	t.Unstated = f.asker.Ask(q)
	return true
}
