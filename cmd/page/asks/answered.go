package asks

import (
	"regexp"
	"slices"
	"strings"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
)

// Answered is an answer that this reading rests on and that can be taken back.
type Answered struct{ ID, Name, Text string }

// Settled are the answers to what is not asked any more, by id.
func Settled(answers question.Answers, open []Asked, problems []casebook.Problem, hidden *Hidden) (out []Answered) {
	for id, word := range answers {
		point := hidden.name(id)
		if slices.ContainsFunc(open, func(q Asked) bool { return q.ID == id || q.ID == point }) {
			continue
		}
		a := AnsweredOf(id, word, problems)
		if point != "" && !lexicon.AllKnown(a.Name+" "+a.Text) {
			a = Answered{point, point, "answered"} // the id, and a choice, can repeat a cell
		} else if point != "" {
			a.ID = point
		}
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b Answered) int { return strings.Compare(a.ID, b.ID) })
	return out
}

// hashed are the parts of an id that tell layouts and findings apart and nothing else.
var hashed = regexp.MustCompile(`( of headers)? [0-9a-f]{8}$`)

// AnsweredOf is an answer in the words in which it was given, where they are known.
func AnsweredOf(id, word string, told []casebook.Problem) Answered {
	out := Answered{id, hashed.ReplaceAllString(id, ""), word}
	said := func(p casebook.Problem) bool { return p.Answer.ID == id }
	if i := slices.IndexFunc(told, said); i >= 0 && !strings.HasPrefix(id, "column ") {
		out.Name, out.Text = told[i].Answer.Asked, told[i].Answer.Said
	}
	if out.Name == "amounts" {
		out.Name = "amounts that can hardly be right"
	}
	if strings.HasPrefix(id, "column ") && strings.Contains(id, " of ") {
		choices := ingest.ColumnChoices()
		if i := slices.IndexFunc(choices, func(c question.Choice) bool { return c.Word == word }); i >= 0 {
			out.Text = choices[i].Text
		}
	}
	return out
}
