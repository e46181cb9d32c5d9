package decide

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// decideView settles from where directions of a clock and right and left are told:
// by a text of the file, else by asking. Up and down need no view.
func (r *File) decideView(out *[]casebook.Problem) {
	found := map[values.Turning]int{}
	at := map[values.Turning]question.Question{}
	lost := false // right and left of what is not said
	for _, t := range r.Tables {
		for _, f := range []columns.Field{columns.Direction, columns.Axis} {
			col := t.Find(f)
			if col == 0 || t.Kind != casebook.MovementKind {
				continue
			}
			note := func(row sheet.Row, n int) {
				c := row.At(col)
				kind := r.turning(t, f, row)
				if c.Kind != sheet.String || kind == values.NoTurning {
					return
				}
				if found[kind] == 0 {
					at[kind] = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col), Rule: string(rules.WordUnknown)}
				}
				found[kind] += n
				lost = lost || kind == values.RightLeft && !t.Has(columns.Axis)
			}
			if f == columns.Direction { // which is read with the axis beside it
				r.eachRow(t, func(row sheet.Row) { note(row, 1) })
				continue
			}
			for _, s := range distinct(t, col, r.records(t)) {
				note(s.first, s.n)
			}
		}
	}
	if found[values.OfClock] > 0 && r.View.Clock == values.NotSaid {
		r.askClock(at[values.OfClock], found[values.OfClock])
	}
	if found[values.RightLeft] > 0 && r.View.Sides == values.NotSaid {
		r.askSides(at[values.RightLeft], found[values.RightLeft])
	}
	if lost {
		r.askRightLeft(at[values.RightLeft], found[values.RightLeft])
	}
	for i, text := range turningTexts {
		if kind := values.Turning(i); found[kind] > 0 {
			p := rules.New(rules.LayoutAssumed, "%s, %d times, was read at each tooth", text, found[kind])
			p.Sheet, p.Cell, p.Column = at[kind].Sheet, at[kind].Cell, at[kind].Column
			*out = append(*out, p)
		}
	}
}

// turning is the kind of such a direction that a cell holds, unless it is read
// without a view: L is lingual along a torque.
func (r *File) turning(t *layout.Table, f columns.Field, row sheet.Row) values.Turning {
	axis, _, err := values.ParseAxis(r.Meant(columns.Axis, row.At(t.Find(columns.Axis)).Text))
	text := row.At(t.Find(f)).Text
	if f == columns.Axis {
		if kind := values.TurningOf(r.Meant(f, text)); err != nil && kind != values.RightLeft {
			return kind
		}
		return values.NoTurning
	}
	if _, err := values.ParseDirection(r.MeantDirection(text, axis), axis); err == nil {
		return values.NoTurning
	}
	return values.TurningOf(r.MeantDirection(text, axis))
}

// turningTexts name the kinds of such directions.
var turningTexts = [...]string{
	values.OfClock: "clockwise or anticlockwise", values.UpDown: "up or down", values.RightLeft: "right or left",
}

func (r *File) askClock(q question.Question, n int) {
	q.ID = "clock"
	q.Text = fmt.Sprintf("rotations are told as clockwise or anticlockwise (%d times): from where is the tooth seen?", n)
	q.Choices = []question.Choice{
		{Word: "occlusal", Text: "onto its biting surface, as in a view of the arch", Count: n},
		{Word: "apical", Text: "from its root", Count: n},
		{Word: "not known", Text: "the rows are left out", Count: n},
	}
	switch r.Asker.Ask(q) {
	case "occlusal":
		r.View.Clock = values.Occlusal
	case "apical":
		r.View.Clock = values.Apical
	}
}

func (r *File) askSides(q question.Question, n int) {
	q.ID = "right and left"
	q.Text = fmt.Sprintf("directions are told as right or left (%d times): whose right and left are they?", n)
	q.Choices = []question.Choice{
		{Word: "patient", Text: "the patient's own", Count: n},
		{Word: "observer", Text: "of one who faces the patient, as in a photograph", Count: n},
		{Word: "not known", Text: "the rows are left out", Count: n},
	}
	switch r.Asker.Ask(q) {
	case "patient":
		r.View.Sides = values.OfPatient
	case "observer":
		r.View.Sides = values.OfObserver
	}
}

func (r *File) askRightLeft(q question.Question, n int) {
	q.ID = "right and left movement"
	q.Text = fmt.Sprintf("teeth move to the right or left (%d times) and no column says along which axis: which movement is it?", n)
	for _, a := range []casebook.Axis{casebook.MesiodistalShift, casebook.Tip, casebook.BuccolingualShift} {
		q.Choices = append(q.Choices, question.Choice{Word: a.String(), Count: n})
	}
	if a, _, err := values.ParseAxis(r.Asker.Ask(q)); err == nil {
		r.Sideways = a
	}
}
