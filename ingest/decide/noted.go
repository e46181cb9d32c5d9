package decide

import (
	"strings"

	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// noted reports a text outside the records that explains a column by its name:
// "Result = amount still missing at the last scan". What it says is asked, since
// a column of outcomes that needs a note seldom holds what its name promises.
func (r *File) noted(t *layout.Table, col int) bool {
	name := values.Key(t.HeaderOf(col))
	for _, s := range r.Book.Sheets {
		bodies := r.bodiesOn(s.Name)
		for _, row := range s.Rows {
			if row.Len() == 0 || row.Len() > 3 || s == t.Sheet && row.Number == t.Header {
				continue
			}
			c := row.Cell(0)
			if c.Kind != sheet.String || !explains(c.Text, name) && !(row.Len() == 2 && values.Key(c.Text) == name && row.Cell(1).Kind == sheet.String) {
				continue
			}
			if !inRecords(bodies, row) {
				return true
			}
		}
	}
	return false
}

func inRecords(bodies []*Body, row sheet.Row) bool {
	for _, b := range bodies {
		if b.Record(row) {
			return true
		}
	}
	return false
}

// explains reports "NAME = ...", "NAME: ..." or "NAME is ...".
func explains(text, name string) bool {
	for _, sign := range []string{"=", ":", " is ", " ist ", " est ", " es ", " \u00e8 ", " \u00e9 ", " to "} {
		if head, tail, ok := strings.Cut(text, sign); ok && strings.TrimSpace(tail) != "" && values.Key(head) == name {
			return true
		}
	}
	return false
}

func (r *File) askNoted(t *layout.Table, col int) string {
	q := ofColumn("residual", rules.ColumnAmbiguous, t, col)
	q.Text = "a note outside the table explains this column: is it the achieved movement, or something else?"
	q.Choices = []question.Choice{{Word: "achieved", Text: "the achieved movement itself"}, wasLeft, wentBeyond}
	if word := r.Asker.Ask(q); word != "achieved" {
		return word
	}
	return ""
}
