package decide

import (
	"errors"
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

// decideDirections asks what the words of a column of directions mean, by the
// axis beside them: "in" may be said of a torque and of a shift.
func (r *File) decideDirections() {
	type spoken struct {
		text string
		axis casebook.Axis
	}
	unknown := map[spoken]int{}
	places := map[spoken]question.Question{}
	for _, t := range r.Tables {
		col, axisCol := t.Find(columns.Direction), t.Find(columns.Axis)
		if col == 0 || t.Kind != casebook.MovementKind {
			continue
		}
		r.eachRow(t, func(row sheet.Row) {
			c := row.At(col)
			text := strings.TrimSpace(c.Text)
			if c.Kind != sheet.String || values.IsMissing(text, r.Missing) || text == "" {
				return
			}
			axis, _, _ := values.ParseAxis(r.Meant(columns.Axis, row.At(axisCol).Text))
			_, err := values.ParseDirection(r.MeantDirection(text, axis), axis)
			var f values.Fail
			turns := values.TurningOf(r.MeantDirection(text, axis)) != values.NoTurning // read at each tooth
			if err == nil || turns || errors.As(err, &f) && (f.Explained || f.Rule == rules.AxisAgainstWord) {
				return
			}
			k := spoken{text, axis}
			if unknown[k]++; unknown[k] == 1 {
				places[k] = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col)}
			}
		})
	}
	var qs []question.Question
	asked := map[string]spoken{}
	for _, k := range slices.SortedFunc(maps.Keys(unknown), func(a, b spoken) int {
		return strings.Compare(a.text+a.axis.String(), b.text+b.axis.String())
	}) {
		if unknown[k] >= rareWord {
			q := aboutDirection(places[k], k.text, k.axis, unknown[k])
			qs, asked[q.ID] = append(qs, q), k
		}
	}
	r.askGroup(question.Group{ID: "direction words", Text: "which directions are"}, qs, func(q question.Question, word string) {
		if word == NotRecorded {
			return
		}
		k := asked[q.ID]
		r.learnt[learntWord{columns.Direction, values.Key(k.text) + " of " + k.axis.String()}] = word
	})
}

func aboutDirection(q question.Question, text string, axis casebook.Axis, n int) question.Question {
	shown := shownWord(text, q.Column)
	q.ID, q.Rule, q.Word, q.Count = "direction "+shown, string(rules.WordUnknown), shown, n
	q.Text = fmt.Sprintf("which direction is %q (%d times)?", shown, n)
	if axis != casebook.NoAxis {
		q.ID += " of " + axis.String()
		q.Word += " of " + axis.String()
		q.Text = fmt.Sprintf("which direction of %s is %q (%d times)?", axis, shown, n)
	}
	for _, d := range casebook.Directions() {
		if axis == casebook.NoAxis || d.Axis() == axis {
			q.Choices = append(q.Choices, question.Choice{Word: d.String(), Text: d.String() + turned[d]})
		}
	}
	q.Choices = append(q.Choices, noneOfThese)
	return q
}

// MeantDirection is meant for the direction of a row, by its axis.
func (r *File) MeantDirection(text string, axis casebook.Axis) string {
	if len(r.learnt) > 0 {
		if to, ok := r.learnt[learntWord{columns.Direction, values.Key(text) + " of " + axis.String()}]; ok {
			return to
		}
	}
	return r.Meant(columns.Direction, text)
}
