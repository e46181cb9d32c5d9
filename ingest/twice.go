package ingest

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// twiceID is the question which of two rows of one movement stands.
const twiceID = "twice"

// twice settles movements that stand in two rows with different values: where
// somebody is there it is asked which row stands, else both are rejected, as the
// catalogue says.
func (r *reader) twice(rows []*row) {
	known, latest := r.movementIndex(), map[int]*row{} // by the first of the key
	var pairs [][2]*row
	only := func(x *row) casebook.Movement { return r.movementsOf(x)[0].Value }
	for _, x := range rows {
		if len(x.errors) > 0 || x.moves != 1 {
			continue
		}
		first := known.Add(int(x.first))
		if first == int(x.first) {
			continue
		}
		before := latest[first]
		if before == nil {
			before = rowOf(rows, first)
		}
		if only(before) != only(x) {
			pairs = append(pairs, [2]*row{before, x})
		}
		latest[first] = x
	}
	if len(pairs) == 0 {
		return
	}
	q := question.Question{
		ID: twiceID, Rule: string(rules.MovementDuplicate), Sheet: pairs[0][0].t.Sheet.Name, Row: int(pairs[0][0].number),
		Text: fmt.Sprintf("%d movements stand in two rows with different values: which row stands?", len(pairs)),
		Choices: []question.Choice{
			{Word: "neither", Text: "both rows are left out until one is corrected", Count: len(pairs)},
			{Word: "later", Text: "the lower row corrects the upper one", Count: len(pairs)},
			{Word: "earlier", Text: "the upper row stands", Count: len(pairs)},
		},
	}
	for _, p := range pairs[:min(len(pairs), mostExamples)] {
		q.Examples = append(q.Examples, fmt.Sprintf("row %d: %s planned %v, achieved %s; row %s: planned %v, achieved %s", p[0].number, only(p[0]).Axis,
			only(p[0]).Planned, outcomeText(only(p[0])), place(p[1], p[0]), only(p[1]).Planned, outcomeText(only(p[1]))))
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
		x.File, x.Sheet, x.Row = r.Book.File.Name, p[out].t.Sheet.Name, int(p[out].number)
		p[out].errors = append(p[out].errors, x)
	}
}
