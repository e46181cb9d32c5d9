package ingest

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// twiceID is the question which of two rows of one movement stands.
const twiceID = "twice"

// twice settles movements that stand in two rows with different values: where
// somebody is there it is asked which row stands, else both are rejected, as the
// catalogue says.
func (r *reader) twice(rows map[*layout.Table][]*row) {
	first := map[casebook.MovementKey]*row{}
	var pairs [][2]*row
	for _, t := range r.Tables {
		for _, x := range rows[t] {
			if len(x.errors) > 0 || len(x.movements) != 1 {
				continue
			}
			k := x.movements[0].Key()
			before, ok := first[k]
			if ok && before.movements[0] != x.movements[0] {
				pairs = append(pairs, [2]*row{before, x})
			}
			first[k] = x
		}
	}
	if len(pairs) == 0 {
		return
	}
	q := question.Question{
		ID: twiceID, Rule: string(rules.MovementDuplicate), Sheet: pairs[0][0].source.Sheet, Row: pairs[0][0].source.Row,
		Text: fmt.Sprintf("%d movements stand in two rows with different values: which row stands?", len(pairs)),
		Choices: []question.Choice{
			{Word: "neither", Text: "both rows are left out until one is corrected", Count: len(pairs)},
			{Word: "later", Text: "the lower row corrects the upper one", Count: len(pairs)},
			{Word: "earlier", Text: "the upper row stands", Count: len(pairs)},
		},
	}
	for _, p := range pairs[:min(len(pairs), mostExamples)] {
		q.Examples = append(q.Examples, fmt.Sprintf("row %d: %s planned %v, achieved %s; row %s: planned %v, achieved %s", p[0].source.Row, p[0].movements[0].Axis,
			p[0].movements[0].Planned, outcomeText(p[0].movements[0]), place(p[1], p[0]), p[1].movements[0].Planned, outcomeText(p[1].movements[0])))
	}
	ask := r.Asker.Offer
	if r.o.Ask {
		ask = r.Asker.Ask
	}
	out, stands := 0, 1
	switch ask(q) {
	case "later":
	case "earlier":
		out, stands = 1, 0
	default:
		return // settled finds them and rejects both
	}
	for _, p := range pairs {
		x := rules.New(rules.MovementDuplicate, "row %s stands for this one, as answered", place(p[stands], p[out]))
		x.File, x.Sheet, x.Row = r.Book.File.Name, p[out].source.Sheet, p[out].source.Row
		p[out].errors = append(p[out].errors, x)
	}
}
