package decide

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// notMeasured says what stands in place of outcomes, over the whole file.
type notMeasured struct {
	blanks int
	filled int
	at     question.Question
	marks  map[string]int // texts without a digit: "-", "?", "n.b."
	place  map[string]question.Question
}

// decideMissing asks what blank cells and marks among the achieved amounts mean.
// In the columns of our own template a blank is refused row by row, as its
// instructions say.
func (r *File) decideMissing(out *[]casebook.Problem) {
	n := notMeasured{marks: map[string]int{}, place: map[string]question.Question{}}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind || asTemplate(t) {
			continue
		}
		for _, a := range outcomesOf(t) {
			r.eachRow(t, func(row sheet.Row) { r.noteOutcome(&n, t, a, row) })
		}
	}
	switch {
	case n.blanks == 0:
	case 4*n.blanks <= n.filled && len(n.marks) == 0:
		// Here and there a blank among many outcomes: it was not measured. Nothing
		// is counted as moved, and the movement is kept and listed.
		r.BlankOutcome = "not measured"
		p := rules.New(rules.AchievedMissing, "%d planned movements have a blank achieved amount and count as not measured; where nothing moved, write 0", n.blanks)
		p.Severity, p.Sheet, p.Cell, p.Column = casebook.Warning, n.at.Sheet, n.at.Cell, n.at.Column
		*out = append(*out, p)
	default:
		r.askBlankOutcome(n)
	}
	for _, mark := range slices.Sorted(maps.Keys(n.marks)) {
		r.askMark(mark, n.marks[mark], n.place[mark])
	}
}

// outcomesOf lists the planned columns of a table with what stands for achieved.
func outcomesOf(t *layout.Table) []plannedColumn {
	out := amountsOf(t)
	if len(t.Pairs) > 0 {
		return out
	}
	for i := range out {
		for _, f := range []columns.Field{columns.Residual, columns.EndPosition, columns.StatedPercent} {
			if out[i].achieved == 0 {
				out[i].achieved = t.Find(f)
			}
		}
	}
	return out
}

func (r *File) noteOutcome(n *notMeasured, t *layout.Table, a plannedColumn, row sheet.Row) {
	plan, ok := r.signed(row.At(a.planned))
	if !ok || a.achieved == 0 {
		return
	}
	c := row.At(a.achieved)
	if got, measured := r.signed(c); len(t.Pairs) > 0 && plan.Value == 0 && (c.Kind == sheet.Blank || measured && got.Value == 0) {
		return // of several movements in a row, one that was not planned
	}
	at := question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, a.achieved), Column: t.HeaderOf(a.achieved)}
	text := strings.TrimSpace(c.Text)
	switch {
	case c.Kind == sheet.Blank || text == "":
		if n.blanks++; n.blanks == 1 {
			n.at = at
		}
	case c.Kind == sheet.String && len(text) <= 12 && !strings.ContainsAny(text, "0123456789") && !values.IsMissing(text, r.Missing):
		if n.marks[text]++; n.marks[text] == 1 {
			n.place[text] = at
		}
	case standsForMissing(t, text, a.achieved) && !values.IsMissing(text, r.Missing):
		if n.marks[text]++; n.marks[text] == 1 {
			n.place[text] = at
		}
	default:
		n.filled++
	}
}

func standsForMissing(t *layout.Table, text string, col int) bool {
	a, err := values.ParseAmount(text, 0)
	return err == nil && t.StandsForMissing(a, col)
}

func (r *File) askBlankOutcome(n notMeasured) {
	q := n.at
	q.ID, q.Rule = "blank achieved", string(rules.AchievedMissing)
	q.Text = fmt.Sprintf("%d planned movements have a blank achieved amount: was it not measured?", n.blanks)
	q.Choices = []question.Choice{
		{Word: "not measured", Text: "the outcome was not measured, or the case is not that far yet", Count: n.blanks},
		{Word: "zero", Text: "nothing moved: achieved is 0", Count: n.blanks},
		{Word: "reject", Text: "neither is certain; the rows are left out", Count: n.blanks},
	}
	q.Proposed = "not measured"
	r.BlankOutcome = r.Asker.Ask(q)
}

func (r *File) askMark(mark string, n int, q question.Question) {
	shown := shownWord(mark, q.Column)
	q.ID, q.Rule = "achieved "+shown, string(rules.NumberUnreadable)
	q.Text = fmt.Sprintf("what does %q mean among the achieved amounts (%d times)?", shown, n)
	q.Choices = []question.Choice{
		{Word: "not measured", Text: "the outcome was not measured", Count: n},
		{Word: "zero", Text: "nothing moved: achieved is 0", Count: n},
		{Word: "reject", Text: "neither is certain; the rows are left out", Count: n},
	}
	switch r.Asker.Ask(q) {
	case "not measured":
		r.Missing[strings.ToLower(mark)] = true
	case "zero":
		r.Zeros[mark] = true
	}
}
