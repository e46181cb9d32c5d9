package layout

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// noneOfThem is the answer that leaves every column that was offered unread.
const noneOfThem = "none of them"

// styleByValues asks about unread columns whose words say who designed something, in a
// table of movements that names no style: it would else lose what is to be compared.
func (f *Found) styleByValues(t *Table) {
	if t.Kind != casebook.MovementKind || len(t.Marks) > 0 || t.Has(columns.Style) {
		return
	}
	var at []int
	var choices []question.Choice
	for i, c := range t.Columns {
		if c.Field == columns.Style { // of a wide column
			return
		}
		if c.Field != columns.NoField || c.Declared || c.Mark != casebook.NoStyle {
			continue
		}
		if words := t.profile(c.Col).designers(); words != "" {
			at = append(at, i)
			choices = append(choices, question.Choice{Word: t.nameOf(i), Text: "column " + sheet.ColumnName(c.Col) + ": " + words})
		}
	}
	if len(at) == 0 {
		return
	}
	first := t.Columns[at[0]]
	q := question.Question{
		ID: "column " + columns.Style.String(), Rule: string(rules.ColumnAmbiguous), Sheet: t.Sheet.Name,
		Cell: sheet.Ref(t.Header, first.Col), Column: first.Text,
		Text:    "no header names who designed the attachments: which column says it?",
		Choices: append(choices, question.Choice{Word: noneOfThem, Text: "styles of attachment are then not compared"}),
	}
	if len(at) == 1 {
		q.Proposed = choices[0].Word
	}
	f.takeAnswer(t, at, f.asker.Ask(q), columns.Style)
}

// mostDesigners is how many words of a column a question repeats.
const mostDesigners = 6

// designers says what the words of a column would be read as, "" where they do not name
// both the software and the clinician, and little else.
func (p profile) designers() string {
	if !p.mostly(p.styles) {
		return ""
	}
	var out []string
	named := map[casebook.Style]bool{}
	for _, text := range slices.Sorted(maps.Keys(p.distinct)) {
		s, err := values.ParseStyle(text)
		if err != nil {
			continue
		}
		if named[s] = true; len(out) < mostDesigners {
			out = append(out, fmt.Sprintf("%q is %s (%d times)", text, s, p.distinct[text]))
		}
	}
	if !named[casebook.SoftwareSuggested] || !named[casebook.ClinicianDesigned] {
		return ""
	}
	return strings.Join(out, ", ")
}
