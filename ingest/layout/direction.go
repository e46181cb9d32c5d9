package layout

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// directionByValues asks whether an unread column of directions, such as "Which way", is
// that of the movements, where amounts have no sign and the column of movements does not
// say it: "buccal" may as well be where an attachment sits.
func (f *Found) directionByValues(t *Table) {
	if t.Kind != casebook.MovementKind || len(t.Pairs) > 0 || t.Has(columns.Direction) || !t.Has(columns.Axis) {
		return
	}
	if p := t.profile(t.Find(columns.Planned)); p.negative > 0 || p.amounts > p.numbers || t.axesSayDirections() {
		return
	}
	var at []int
	for i, c := range t.Columns {
		if p := t.profile(c.Col); c.Field == columns.NoField && !c.Declared && c.Mark == casebook.NoStyle && len(p.distinct) > 1 && p.mostly(p.directions) {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return
	}
	q := question.Question{
		ID: "column " + columns.Direction.String(), Rule: string(rules.ColumnAmbiguous), Sheet: t.Sheet.Name,
		Cell: sheet.Ref(t.Header, t.Columns[at[0]].Col), Column: t.Columns[at[0]].Text,
		Text:    "no header names the direction of the movements, and these words are directions: do they say which way each movement goes?",
		Choices: append(t.choicesOf(columns.Direction, at), question.Choice{Word: noneOfThem, Text: "they say something else, such as the side of an attachment"}),
	}
	if len(at) == 1 {
		q.Proposed = q.Choices[0].Word
	}
	f.takeAnswer(t, at, f.asker.Ask(q), columns.Direction)
}

// axesSayDirections reports a column of movements most of whose words say which way.
func (t *Table) axesSayDirections() bool {
	told, all := 0, 0
	for text, n := range t.profile(t.Find(columns.Axis)).distinct {
		_, d, err := values.ParseAxis(strings.TrimSpace(text))
		if all += n; err == nil && d != casebook.NoDirection {
			told += n
		}
	}
	return 2*told > all
}
