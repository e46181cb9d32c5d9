package decide

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// decideDates settles the order of dates such as 03/04/2025 kept as text: by
// other dates of the file, where all of them agree, else by asking.
func (r *File) decideDates(out *[]casebook.Problem) {
	if r.Dates != values.Undeclared {
		return
	}
	var c dateCells
	for _, t := range r.Tables {
		for _, f := range []columns.Field{columns.StartMonth, columns.EndMonth, columns.CourseStart} {
			if l, ok := t.Labels[f]; ok {
				c.note(l.Cell, 1, question.Question{Sheet: t.Sheet.Name, Cell: l.Ref(), Column: l.Text})
			}
			col := t.Find(f)
			if col == 0 {
				continue
			}
			for _, s := range distinct(t, col, filled(t, col)) {
				c.note(s.cell, s.n, question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(s.first.Number, col), Column: t.HeaderOf(col)})
			}
		}
	}
	switch {
	case c.open == 0:
	case c.day > 1 && c.month == 0:
		r.Dates = values.DayFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read day first: %d of them can be read in no other way", c.day))
	case c.month > 1 && c.day == 0:
		r.Dates = values.MonthFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read month first: %d of them can be read in no other way", c.month))
	default:
		r.askDates(c.at, c.open)
	}
}

// dateCells counts the dates kept as text by which order they can be read in, and has the
// place of the first that can be read in both.
type dateCells struct {
	open, day, month int
	at               question.Question
}

func (c *dateCells) note(cell sheet.Cell, n int, at question.Question) {
	if cell.Kind != sheet.String {
		return
	}
	switch values.OrderOf(cell.Text) {
	case values.Undeclared:
		if c.open == 0 {
			c.at = at
		}
		c.open += n
	case values.DayFirst:
		c.day += n
	case values.MonthFirst:
		c.month += n
	}
}

func (r *File) askDates(at question.Question, open int) {
	at.ID, at.Rule = "dates", string(rules.DateAmbiguous)
	at.Text = fmt.Sprintf("day and month of %d dates cannot be told apart: which comes first?", open)
	at.Choices = []question.Choice{{Word: "day first", Text: "03/04/2025 is in April"}, {Word: "month first", Text: "03/04/2025 is in March"}}
	switch r.Asker.Ask(at) {
	case "day first":
		r.Dates = values.DayFirst
	case "month first":
		r.Dates = values.MonthFirst
	}
}
