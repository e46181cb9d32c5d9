package decide

import (
	"fmt"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// decideAchievedSigns asks where plans carry signs and outcomes never do.
func (r *File) decideAchievedSigns(all amountSigns) {
	if all.against < 2 || all.along > 0 || r.anyPositions() {
		return
	}
	word := r.Asker.Ask(question.Question{
		ID: "achieved signs", Rule: string(rules.ColumnAmbiguous),
		Text: fmt.Sprintf("%d planned amounts are negative and their achieved amounts are all positive: did these teeth move the other way?", all.against),
		Choices: []question.Choice{
			{Word: "along plan", Text: "no: achieved amounts carry no sign and go the way that was planned"},
			{Word: "against plan", Text: "yes: they moved against the plan"},
		},
		Proposed: "along plan",
	})
	for t, p := range r.Plans {
		p.AlongPlan = word == "along plan"
		r.Plans[t] = p
	}
}

// Forgotten reports an achieved amount that may lack its minus: a third of a negative plan
// or more, without a sign.
func Forgotten(planned, achieved float64) bool {
	return planned < 0 && achieved > 0 && 3*achieved >= -planned
}

// fewestForgotten outcomes are asked about: one tooth may well have moved against its plan.
const fewestForgotten = 2

// decideForgotten asks about achieved amounts without a sign beside negative plans where
// the others have theirs and no positive plan has an outcome that far against it: teeth that
// moved against the plan would do so both ways.
func (r *File) decideForgotten(all amountSigns) {
	if all.along == 0 || r.anyPositions() {
		return
	}
	var rows []string
	var at question.Question
	n, other := 0, 0
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind || r.Plans[t].Achieved != "" || asTemplate(t) {
			continue
		}
		read := r.signedTexts(t)
		for _, a := range amountsOf(t) {
			r.eachRow(t, func(row sheet.Row) {
				planned, got := read(row, a.planned), read(row, a.achieved)
				if a.achieved == 0 || planned.word || got.word {
					return
				}
				if Forgotten(-planned.value, -got.value) {
					other++
				}
				if !Forgotten(planned.value, got.value) {
					return
				}
				if n++; n == 1 {
					at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, a.achieved), Column: t.HeaderOf(a.achieved)}
				}
				if len(rows) < 3 {
					rows = append(rows, fmt.Sprintf("row %d: planned %v, achieved %v", row.Number, planned.value, got.value))
				}
			})
		}
	}
	if n < fewestForgotten || other > 0 {
		return
	}
	at.ID, at.Rule, at.Examples = "forgotten minus", string(rules.SignAgainstWord), rows
	at.Text = fmt.Sprintf("%d achieved amounts have no minus although their plans have one, and the others have theirs: did these teeth move against the plan?", n)
	at.Choices = []question.Choice{
		{Word: "along plan", Text: "no, the minus was forgotten: they went the way that was planned", Count: n},
		{Word: "against plan", Text: "yes, they are right as they stand", Count: n},
		{Word: "reject", Text: "that is not certain; their rows are left out", Count: n},
	}
	word := r.Asker.Ask(at)
	for t, p := range r.Plans {
		p.Forgotten = word
		r.Plans[t] = p // each table by itself: any order
	}
}
