package decide

import (
	"fmt"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// decideTeeth asks whether an amount beside several teeth holds for each.
func (r *File) decideTeeth() {
	n := 0
	var at question.Question
	told := false
	for _, t := range r.Tables {
		col := t.Find(columns.Tooth)
		if col == 0 {
			continue
		}
		told = told || perTooth(t)
		eachCell(t, col, func(row int, c sheet.Cell) {
			if c.Kind == sheet.String && len(values.Teeth(c.Text)) > 1 {
				if n++; n == 1 {
					at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row, col), Column: t.HeaderOf(col)}
				}
			}
		})
	}
	if n == 0 {
		return
	}
	if told {
		r.SeveralTeeth = true
		return
	}
	at.ID, at.Rule = "several teeth", string(rules.ToothUnknown)
	at.Text = fmt.Sprintf("%d cells name several teeth beside one amount: does the amount hold for each of them?", n)
	at.Choices = []question.Choice{
		{Word: "each", Text: "each tooth was planned and achieved that much", Count: n},
		{Word: "reject", Text: "no, the rows cannot be used", Count: n},
	}
	r.SeveralTeeth = r.Asker.Ask(at) == "each"
}

// perTooth reports a header of amounts that says they are for each tooth.
func perTooth(t *layout.Table) bool {
	for _, c := range t.Columns {
		if c.Field != columns.Planned && c.Field != columns.Achieved {
			continue
		}
		for _, tok := range lexicon.Tokens(c.Text) {
			if tok.Concept == lexicon.Tooth {
				return true
			}
		}
	}
	return false
}
