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

// unplannedMark is a text without a digit among the planned amounts of a wide sheet.
type unplannedMark struct {
	n, alone int // cells; those beside no outcome
	at       question.Question
}

// decideUnplanned asks what marks such as "-" mean among the planned amounts of a sheet with
// several movements in a row: mostly that this one was not planned.
func (r *File) decideUnplanned() {
	marks := map[string]unplannedMark{}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind || len(t.Pairs) == 0 {
			continue
		}
		r.eachRow(t, func(row sheet.Row) {
			for _, p := range t.Pairs {
				r.noteUnplanned(marks, t, p, row)
			}
		})
	}
	for _, mark := range slices.Sorted(maps.Keys(marks)) {
		m := marks[mark]
		if m.n < rareWord {
			continue // a slip, which costs its own movement
		}
		q := m.at
		shown := shownWord(mark, q.Column)
		q.ID, q.Rule = "planned "+shown, string(rules.NumberUnreadable)
		q.Text = fmt.Sprintf("what does %q mean among the planned amounts (%d times)?", shown, m.n)
		q.Choices = []question.Choice{
			{Word: "not planned", Text: "this movement was not planned for the tooth", Count: m.n},
			{Word: "reject", Text: "it was planned and the amount is not known; these movements are left out and counted", Count: m.n},
		}
		if m.alone == m.n {
			q.Proposed = "not planned" // none of them has an outcome
		}
		if r.Asker.Ask(q) == "not planned" {
			r.Unplanned[mark] = true
		}
	}
}

func (r *File) noteUnplanned(marks map[string]unplannedMark, t *layout.Table, p layout.Pair, row sheet.Row) {
	col := p.Cols[columns.Planned]
	c := row.At(col)
	text := strings.TrimSpace(c.Text)
	if c.Kind != sheet.String || text == "" || len(text) > 12 || strings.ContainsAny(text, "0123456789") || values.IsMissing(text, r.Missing) {
		return
	}
	m := marks[text]
	if m.n++; m.n == 1 {
		m.at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col)}
	}
	if a := row.At(p.Cols[columns.Achieved]); a.Kind == sheet.Blank || strings.TrimSpace(a.Text) == text {
		m.alone++
	}
	marks[text] = m
}
