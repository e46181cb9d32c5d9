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

// What achieved amounts are that are negative beside plans without signs.
const (
	// OutcomesSigned: their sign is that of the movement, whatever the word.
	OutcomesSigned   = "signed"
	outcomesAgainst  = "against plan"
	OutcomesRejected = "reject"
)

// decideOutcomeSigns asks about plans without signs, whose direction is in words, and achieved
// amounts with them: "intrusion 0.8, achieved -0.5" moved against its plan, or its sign is
// that of the movement. Teeth that moved against the plan would do so both ways.
func (r *File) decideOutcomeSigns() {
	var at question.Question
	against, other, positive := 0, 0, 0
	var rows []string
	for _, t := range r.Tables {
		p := r.Plans[t]
		if t.Kind != casebook.MovementKind || p.Achieved != "" || asTemplate(t) || !p.Sizes && p.SizesAlong == [casebook.AxisCount + 1]bool{} {
			continue
		}
		read := r.signedTexts(t)
		r.eachAmount(t, func(row sheet.Row, w wordedAmount) {
			planned, got := read(row, w.planned), read(row, w.achieved)
			if w.achieved == 0 || got.word || planned.value <= 0 || !p.Sizes && !p.SizesAlong[w.axis] {
				return
			}
			d := r.besidePlan(t, row, w)
			switch far := Forgotten(-planned.value, -got.value); {
			case d.Sign() < 0 && got.value > 0:
				positive++
			case d.Sign() > 0 && far:
				other++
			case d.Sign() < 0 && far:
				if against++; against == 1 {
					at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, w.achieved), Column: t.HeaderOf(w.achieved)}
				}
				if len(rows) < 3 {
					rows = append(rows, fmt.Sprintf("row %d: %s planned %v, achieved %v", row.Number, d, planned.value, got.value))
				}
			}
		})
	}
	if against < fewestForgotten || other > 0 {
		return
	}
	at.ID, at.Rule, at.Examples = "outcome signs", string(rules.SignAgainstWord), rows
	at.Text = fmt.Sprintf("%d achieved amounts are negative although their plans have no sign and a direction in words, and %d beside such a direction are positive: did these %d teeth move against the plan?", against, positive, against)
	at.Choices = []question.Choice{
		{Word: outcomesAgainst, Text: "yes, a minus is a movement against the plan", Count: against},
		{Word: OutcomesSigned, Text: "no, achieved amounts carry the sign of the movement: a minus beside a plan to intrude is an intrusion, and a plus an extrusion", Count: against + positive},
		{Word: OutcomesRejected, Text: "that is not certain; their rows are left out", Count: against},
	}
	word := r.Asker.Ask(at)
	for t, p := range r.Plans {
		p.OutcomeSigns = word
		r.Plans[t] = p // each table by itself: any order
	}
}

// besidePlan is the direction of a planned amount in words: of its row or column, at its tooth
// where the words depend on that, or beside the amount.
func (r *File) besidePlan(t *layout.Table, row sheet.Row, w wordedAmount) casebook.Direction {
	if w.direction != casebook.NoDirection {
		return w.direction
	}
	if d := r.atTooth(t, row, w.axis); d != casebook.NoDirection {
		return d
	}
	v, ok := r.signed(row.At(w.planned))
	if !ok || v.Word == "" {
		return casebook.NoDirection
	}
	d, err := values.ParseDirection(r.MeantDirection(v.Word, w.axis), w.axis)
	if err != nil {
		return casebook.NoDirection
	}
	return d
}

// atTooth is the direction of a row whose words mean another one at another tooth, such as
// clockwise, up and left; NoDirection where they are none or the tooth is not read.
func (r *File) atTooth(t *layout.Table, row sheet.Row, axis casebook.Axis) casebook.Direction {
	text := row.At(t.Find(columns.Direction)).Text
	if t.Find(columns.Direction) == 0 {
		text = r.Meant(columns.Axis, row.At(t.Find(columns.Axis)).Text)
	} else {
		text = r.MeantDirection(text, axis)
	}
	if values.TurningOf(text) == values.NoTurning || r.Plans[t].Composed {
		return casebook.NoDirection
	}
	tooth, err := values.ParseTooth(r.English(row.At(t.Find(columns.Tooth)).Text, false)).In(r.NotationOf(t))
	if err != nil {
		return casebook.NoDirection
	}
	return r.View.AtTooth(text, tooth, axis)
}
