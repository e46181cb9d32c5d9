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

// decideToothDates asks about teeth that the spreadsheet program turned into dates:
// 1.3, meant as the canine of the first quadrant, became 1 March, or 3 January. Only
// an order in which every one of them is a tooth is offered.
func (r *File) decideToothDates() {
	n := 0
	at := question.Question{}
	can := map[string]bool{"day first": true, "month first": true}
	each := func(f func(row *sheet.Row, c sheet.Cell)) {
		for _, t := range r.Tables {
			col := t.Find(columns.Tooth)
			if col == 0 || t.Kind != casebook.MovementKind {
				continue
			}
			for i := range t.Sheet.Rows {
				row := &t.Sheet.Rows[i]
				c := row.At(col)
				if row.Number < t.Body || c.Kind != sheet.Date {
					continue
				}
				if at.Cell == "" {
					at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col)}
				}
				f(row, c)
			}
		}
	}
	each(func(_ *sheet.Row, c sheet.Cell) {
		n++
		for order := range can {
			can[order] = can[order] && values.ToothOfDate(c.Text, r.Book.Date1904, order == "day first") != ""
		}
	})
	if n == 0 || !can["day first"] && !can["month first"] {
		return // each cell is refused where it is read
	}
	q := at
	q.ID, q.Rule = "tooth dates", string(rules.ToothDate)
	q.Text = fmt.Sprintf("the spreadsheet program turned %d teeth into dates: which tooth was 1 March?", n)
	for _, c := range []question.Choice{{Word: "day first", Text: "the day is the quadrant: 1 March was 13", Count: n}, {Word: "month first", Text: "the month is the quadrant: 1 March was 31", Count: n}} {
		if can[c.Word] {
			q.Choices = append(q.Choices, c)
		}
	}
	q.Choices = append(q.Choices, question.Choice{Word: "reject", Text: "they are no such teeth; the rows are left out", Count: n})
	if len(q.Choices) == 2 {
		q.Proposed = q.Choices[0].Word
	}
	word := r.Asker.Ask(q)
	if word != "day first" && word != "month first" {
		return
	}
	each(func(row *sheet.Row, c sheet.Cell) {
		c.Kind, c.Text = sheet.String, values.ToothOfDate(c.Text, r.Book.Date1904, word == "day first")
		row.Put(c)
	})
}
