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
	var at question.Question
	open, day, month := 0, 0, 0
	for _, t := range r.Tables {
		for _, f := range []columns.Field{columns.StartMonth, columns.EndMonth, columns.CourseStart} {
			col := t.Find(f)
			if col == 0 {
				continue
			}
			for _, s := range distinct(t, col, filled(t, col)) {
				if s.cell.Kind != sheet.String {
					continue
				}
				switch values.OrderOf(s.cell.Text) {
				case values.Undeclared:
					if open == 0 {
						at.Sheet, at.Cell, at.Column = t.Sheet.Name, sheet.Ref(s.first.Number, col), t.HeaderOf(col)
					}
					open += s.n
				case values.DayFirst:
					day += s.n
				case values.MonthFirst:
					month += s.n
				}
			}
		}
	}
	switch {
	case open == 0:
	case day > 1 && month == 0:
		r.Dates = values.DayFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read day first: %d of them can be read in no other way", day))
	case month > 1 && day == 0:
		r.Dates = values.MonthFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read month first: %d of them can be read in no other way", month))
	default:
		r.askDates(at, open)
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
