package ingest

import (
	"fmt"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// decidePositive settles which way positive amounts go, along each axis whose
// amounts carry signs and no words: as declared, as a legend of the file says,
// else asked. Our own template gives the signs on its page of instructions.
func (r *reader) decidePositive(out *[]casebook.Problem) {
	var open []casebook.Axis
	var told []string
	for _, a := range r.axesWithSigns() {
		if _, declared, _ := r.o.Mapping.PositiveOf(a); declared {
			continue
		}
		if d, ok := r.legend.positive[a]; ok && !r.legend.open[a] {
			r.positive[a] = d
			told = append(told, d.String())
			continue
		}
		open = append(open, a)
	}
	if len(told) > 0 {
		*out = append(*out, rules.New(rules.LayoutAssumed, "positive amounts were read as the file says: %s", strings.Join(told, ", ")))
	}
	if len(open) > 0 {
		r.askPositive(open)
	}
}

func (r *reader) askPositive(open []casebook.Axis) {
	var usual []string
	for _, a := range open {
		usual = append(usual, casebook.DirectionOf(a, 1).String())
	}
	q := question.Question{
		ID: "positive", Rule: string(rules.QuestionOpen),
		Text: fmt.Sprintf("amounts carry signs and nothing says what they mean: is positive %s?", strings.Join(usual, ", ")),
		Choices: []question.Choice{{
			Word: "usual", Text: "yes, all of them",
		}},
		Proposed: "usual", Several: true, Examples: r.amountExamples(),
	}
	for _, a := range open {
		q.Choices = append(q.Choices, question.Choice{Word: casebook.DirectionOf(a, -1).String(), Text: "yes, but positive is this along " + a.String()})
	}
	word := r.asker.Ask(q)
	for part := range strings.SplitSeq(word, ",") {
		for _, a := range open {
			if d := casebook.DirectionOf(a, -1); d.String() == strings.TrimSpace(part) {
				r.positive[a] = d
			}
		}
	}
}
