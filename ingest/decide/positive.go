package decide

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// decidePositive settles which way positive amounts go, along each axis whose
// amounts carry signs and no words: as declared, as a legend of the file says,
// else asked. Our own template gives the signs on its page of instructions.
func (r *File) decidePositive(out *[]casebook.Problem) {
	open := map[casebook.Axis]bool{}
	var asks []*layout.Table
	var told []string
	for _, t := range r.Tables {
		own := map[casebook.Axis]casebook.Direction{}
		r.Positive[t] = own
		for _, a := range r.axesWithSigns(t) {
			if _, declared, _ := r.mapping.PositiveOf(a); declared {
				continue
			}
			if d, ok := r.bothWays[t][a]; ok {
				own[a] = d
				continue
			}
			if d, ok := r.legend.positiveOn(t.Sheet.Name, a); ok {
				own[a] = d
				if !slices.Contains(told, d.String()) {
					told = append(told, d.String())
				}
				continue
			}
			if !asTemplate(t) {
				open[a] = true
				asks = append(asks, t)
			}
		}
	}
	if len(told) > 0 {
		*out = append(*out, rules.New(rules.LayoutAssumed, "positive amounts were read as the file says: %s", strings.Join(told, ", ")))
	}
	r.askSizes(open, asks)
	if len(open) > 0 {
		axes := slices.DeleteFunc(casebook.Axes(), func(a casebook.Axis) bool { return !open[a] })
		r.askPositive(axes, asks)
	}
}

func (r *File) askPositive(open []casebook.Axis, asks []*layout.Table) {
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
		Proposed: "usual", Several: true, Examples: r.amountExamples(r.along(open)),
	}
	for _, a := range open {
		q.Choices = append(q.Choices, question.Choice{Word: casebook.DirectionOf(a, -1).String(), Text: "yes, but along " + a.String() + " positive is the other way: " + casebook.DirectionOf(a, -1).String()})
	}
	word := r.Asker.Ask(q)
	for part := range strings.SplitSeq(word, ",") {
		for _, a := range open {
			if d := casebook.DirectionOf(a, -1); d.String() == strings.TrimSpace(part) {
				for _, t := range asks {
					if _, told := r.Positive[t][a]; !told {
						r.Positive[t][a] = d
					}
				}
			}
		}
	}
}
