package decide

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
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
			if _, declared, _ := r.mapping.PositiveOf(a); declared || r.Plans[t].SizesAlong[a] && !r.Plans[t].PlusAlong[a] {
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
	r.askPositive(slices.DeleteFunc(casebook.Axes(), func(a casebook.Axis) bool { return !open[a] }), asks)
}

// Positive is the id of the questions about signs as one. Each axis has its own, since what
// was said of some holds for no other that comes later.
const Positive = "positive"

func (r *File) askPositive(open []casebook.Axis, asks []*layout.Table) {
	group := question.Group{ID: Positive, Text: "amounts carry signs and nothing says what they mean: which way is positive?"}
	said := ofAll(r.Asker.Answers[Positive], open)
	for _, a := range open {
		word := r.Asker.AskSaid(r.aboutPositive(a, &group), said[a])
		d, err := casebook.ParseDirection(word)
		for _, t := range asks {
			switch _, told := r.Positive[t][a]; {
			case told:
			case word == mapping.Up || word == mapping.Down:
				r.Upward[t] = word
			case err == nil:
				r.Positive[t][a] = d
			}
		}
	}
}

func (r *File) aboutPositive(a casebook.Axis, group *question.Group) question.Question {
	usual, other := casebook.DirectionOf(a, 1), casebook.DirectionOf(a, -1)
	q := question.Question{
		ID: Positive + " " + a.String(), Rule: string(rules.QuestionOpen), Group: group, Word: a.String(),
		Text: fmt.Sprintf("which way is a positive amount of %s?", a),
		Choices: []question.Choice{
			{Word: usual.String(), Text: "the usual way" + turned[usual]},
			{Word: other.String(), Text: "the other way" + turned[other]},
		},
		Proposed: usual.String(), Examples: r.amountExamples(r.along([]casebook.Axis{a})),
	}
	if a == casebook.Vertical {
		q.Choices = append(q.Choices,
			question.Choice{Word: mapping.Up, Text: "up in both jaws: intrusion of upper teeth, extrusion of lower ones"},
			question.Choice{Word: mapping.Down, Text: "down in both jaws: extrusion of upper teeth, intrusion of lower ones"})
	}
	return q
}

// ofAll reads an answer to all axes at once, as a command line may have it: "usual", or the
// directions that are positive along some, while the others have the usual ones. One that
// contradicts itself is none.
func ofAll(answer string, open []casebook.Axis) map[casebook.Axis]string {
	out := map[casebook.Axis]string{}
	for part := range strings.SplitSeq(answer, ",") {
		part = strings.TrimSpace(part)
		d, err := casebook.ParseDirection(part)
		a := d.Axis()
		if part == mapping.Up || part == mapping.Down {
			a, err = casebook.Vertical, nil
		}
		if err == nil && slices.Contains(open, a) && out[a] == "" {
			out[a] = part
		} else if part != "usual" || len(out) > 0 || answer != part {
			return nil
		}
	}
	for _, a := range open {
		if out[a] == "" {
			out[a] = casebook.DirectionOf(a, 1).String()
		}
	}
	return out
}
