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
	lists, others := f.unstatedLists(t)
	ended, not := 0, 0
	for _, l := range lists {
		e, n := l.ends()
		ended, not = ended+e, not+n
	}
	q := question.Question{ID: "case status", Rule: string(rules.ColumnMissing), Sheet: lists[0].Sheet.Name, Row: lists[0].Header, Column: d.Header}
	if end == 0 && others {
		q.ID = "case status without end"
	}
	has := "the list of cases has"
	if len(lists) > 1 {
		has = fmt.Sprintf("%d lists of cases have", len(lists))
	}
	open := question.Choice{Word: "not recorded", Text: "that is not certain; the cases are kept without a status", Count: ended + not}
	if end > 0 {
		q.Text = fmt.Sprintf("%s no column \"status\" that says which were completed: are the %d with an end completed, and the %d without still under treatment?", has, ended, not)
		q.Choices = []question.Choice{{Word: Ended, Text: "yes; none of those with an end was stopped or went elsewhere", Count: ended}, open}
	} else {
		q.Text = fmt.Sprintf("%s no column \"status\" that says which were completed, and none for the end: are all %d completed?", has, not)
		q.Choices = []question.Choice{{Word: "completed", Text: "yes, all of them", Count: not}, open}
	}
	t.Unstated = f.asker.Ask(q)
	return true
}

// unstatedLists are the lists of cases without a column of the status that have a column of the
// end as this one has, or none as it; others reports that there are some of the other kind too.
func (f *Found) unstatedLists(like *Table) (lists []*Table, others bool) {
	for _, t := range f.Tables {
		switch {
		case t != like && (t.Kind != casebook.CaseKind || t.Has(columns.Status) || len(t.candidatesFor(columns.Status)) > 0):
		case t.Has(columns.EndMonth) == like.Has(columns.EndMonth):
			lists = append(lists, t)
		default:
			others = true
		}
	}
	return lists, others
}

// ends counts the cases of a list with an end and without.
func (t *Table) ends() (ended, not int) {
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || r.At(t.Find(columns.Case)).Kind == sheet.Blank {
			continue
		}
		if c := r.At(t.Find(columns.EndMonth)); c.Kind != sheet.Blank && !values.IsMissing(c.Text, nil) {
			ended++
		} else {
			not++
		}
	}
	return ended, not
}

// askStatusOfMovements asks the same where a file has no list of cases, and its tables of
// movements give ends and no status: without one its refinements cannot be counted. A row
// without an end says nothing here, since many write it once a case.
func (f *Found) askStatusOfMovements() {
	var of []*Table
	ended := map[casebook.CaseKey]bool{}
	for _, t := range f.Tables {
		if t.Kind == casebook.CaseKind || t.Has(columns.Status) {
			return
		}
		if t.Kind == casebook.MovementKind && t.Has(columns.EndMonth) {
			of = append(of, t)
			t.noteEnded(ended)
		}
	}
	if len(ended) == 0 {
		return
	}
	n, at := len(ended), of[0]
	cases := "1 case that has an end: is it completed"
	if n > 1 {
		cases = fmt.Sprintf("%d cases that have an end: are they completed", n)
	}
	q := question.Question{
		ID: "case status", Rule: string(rules.ColumnMissing), Sheet: at.Sheet.Name, Row: at.Header, Column: at.HeaderOf(at.Find(columns.EndMonth)),
		Text: "nothing says of " + cases + "?",
		Choices: []question.Choice{
			{Word: Ended, Text: "yes; none of those with an end was stopped or went elsewhere", Count: n},
			{Word: "not recorded", Text: "that is not certain; the cases are kept without a status, and their refinements are not counted", Count: n},
		},
	}
	word := f.asker.Ask(q)
	for _, t := range of {
		t.Unstated = word
	}
}

// noteEnded adds the cases of a table of movements that have an end. A case that stands on
// several sheets is one.
func (t *Table) noteEnded(ended map[casebook.CaseKey]bool) {
	is := func(c sheet.Cell) bool {
		return c.Kind == sheet.Date || c.Kind == sheet.Number || c.Kind == sheet.String && isDate(c.Text)
	}
	l, ok := t.Labels[columns.EndMonth]
	all := ok && is(l.Cell)
	col := t.Find(columns.EndMonth)
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || r.Len() == 0 || !all && (col == 0 || !is(r.At(col))) {
			continue
		}
		if k := (casebook.CaseKey{ID: t.codeOf(columns.Case, r), Practice: t.codeOf(columns.Practice, r)}); k.ID != "" {
			ended[k] = true
		}
	}
}

// codeOf is the code that a row, or what holds for every row, has in a field.
func (t *Table) codeOf(f columns.Field, r sheet.Row) string {
	if col := t.Find(f); col > 0 {
		c := r.At(col)
		code, _ := values.Code(c.Text, c.Kind == sheet.Number)
		return code
	}
	return values.TypedCode(t.Constants[f])
}
