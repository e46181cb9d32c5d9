// Package asks is how the page puts the questions of a file: what was answered before, what
// is proposed, which choices stand open, and nothing that could name a person.
//
// Place in the pipeline: below cmd/page, beside what is found in a file; it turns questions
// and answers of ingest into what a page shows, and knows no requests.
package asks

import (
	"cmp"
	"slices"
	"strings"

	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// Asked is a question with what was answered so far.
type Asked struct {
	question.Question
	Given []string
	Again bool   // answered, and not with one of the choices
	As    string // the file for which the proposed answer was given
}

// Names reports a question whose choices are called as the sheet calls its columns.
func (a Asked) Names() bool { return strings.HasPrefix(a.ID, "column ") }

// Likely are the choices that stand open, and Others those in a fold below: where the
// question says how many are near, and none of the others was taken or is proposed.
func (a Asked) Likely() []question.Choice { return a.Choices[:a.near()] }

// Others are the choices that are not likely.
func (a Asked) Others() []question.Choice { return a.Choices[a.near():] }

func (a Asked) near() int {
	all := len(a.Choices)
	if a.Near <= 0 || a.Near >= all || slices.ContainsFunc(a.Choices[a.Near:], func(c question.Choice) bool { return a.Has(c.Word) }) {
		return all
	}
	return a.Near
}

// Of what the counts of the choices are.
func (a Asked) Of() string {
	if strings.HasPrefix(a.ID, "twice") || strings.HasPrefix(a.ID, "amounts ") {
		return "movement"
	}
	return "cell"
}

// Has reports a choice that was taken, or is proposed.
func (a Asked) Has(word string) bool {
	if len(a.Given) == 0 {
		return a.Proposes(word)
	}
	return slices.Contains(a.Given, word)
}

// Proposes reports a choice that is proposed, whatever was answered.
func (a Asked) Proposes(word string) bool {
	return a.Proposed == word || a.Several && slices.Contains(strings.Split(a.Proposed, ","), word)
}

// Put are the questions with what was answered to them.
func Put(questions []question.Question, answers question.Answers, hidden *Hidden) (out []Asked) {
	for _, q := range questions {
		a := Asked{Question: q}
		id, _ := hidden.Means(q.ID, "")
		if given := answers[id]; given != "" {
			a.Given, a.Again = strings.Split(given, ","), true
		}
		out = append(out, a)
	}
	return out
}

// Rules are those of which a question is asked.
func Rules(questions []Asked) map[string]bool {
	out := map[string]bool{}
	for _, q := range questions {
		out[cmp.Or(q.Rule, string(rules.QuestionOpen))] = true
	}
	return out
}

// Answer is an answer and the file for which it was given.
type Answer struct{ Word, File string }

// Propose takes answers of other files to the same questions, where they are among the
// choices here: what was answered once is confirmed and not asked as if it were new.
func Propose(questions []Asked, before map[string]Answer, hidden *Hidden) {
	for i := range questions {
		q := &questions[i]
		id, _ := hidden.Means(q.ID, "")
		b, ok := before[id]
		if !ok || len(q.Given) > 0 {
			continue
		}
		for _, c := range q.Choices { // of a question that is hidden, the name of the choice
			if _, word := hidden.Means(q.ID, c.Word); word == b.Word {
				b.Word = c.Word
			}
		}
		if q.Question.Has(b.Word) {
			q.Proposed, q.As = b.Word, b.File
		}
	}
}
