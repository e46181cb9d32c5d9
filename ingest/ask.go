package ingest

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"regexp"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/decide"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// answers joins those of the mapping and those given to this reading.
func answers(o Options) question.Answers {
	out := question.Answers{}
	if o.Mapping != nil {
		maps.Copy(out, o.Mapping.Answers)
	}
	maps.Copy(out, o.Answers)
	return out
}

// questionProblems turns open questions into problems that refuse the file, and
// names answers that nothing asked for or that are no choice.
func questionProblems(file string, a *question.Asker, given question.Answers) []casebook.Problem {
	var out []casebook.Problem
	for _, group := range question.Groups(a.Open()) {
		q := group[0]
		id := rules.QuestionOpen
		if q.Rule != "" {
			id = rules.ID(q.Rule)
		}
		p := rules.New(id, "%s", message(q))
		if len(group) > 1 {
			p.Message = q.Group.Text
		}
		p.Severity, p.File, p.Sheet, p.Cell, p.Row, p.Column = casebook.Error, file, q.Sheet, q.Cell, q.Row, q.Column
		p.Remedy = remedy(group, a.Answers[q.ID])
		out = append(out, p)
	}
	for _, u := range a.Used() {
		p := rules.New(rules.QuestionAnswered, "%s Answered: %s (%s)", u.Question.Text, u.Word, textOf(u))
		p.File, p.Sheet, p.Cell, p.Row, p.Column = file, u.Question.Sheet, u.Question.Cell, u.Question.Row, u.Question.Column
		p.Answer = casebook.AnswerTold{ID: u.Question.ID, Asked: u.Question.Text, Said: textOf(u)}
		out = append(out, p)
	}
	for _, id := range a.Unused() {
		if given[id] == "" || strings.HasPrefix(id, amountsID) || strings.HasPrefix(id, twiceID) {
			continue // remembered from an earlier file, or about rows, which are read later
		}
		p := rules.New(rules.AnswerUnused, "nothing of this file asks %q", id)
		p.File = file
		out = append(out, p)
	}
	return out
}

// Memory keeps the answers about files by a hash of their headers.
type Memory interface {
	// Recall gives what was answered about an earlier file of the same headers.
	Recall(header string) question.Answers
	// Keep is told the answers that a file was read with.
	Keep(header string, a question.Answers)
}

// recall joins what is remembered and what is given, which goes first; it is
// empty where nothing is remembered.
func (o Options) recall(header string, given question.Answers) question.Answers {
	if o.Memory == nil || header == "" {
		return nil
	}
	known := maps.Clone(o.Memory.Recall(header))
	if len(known) == 0 {
		return nil
	}
	delete(known, decide.Positive) // an older program kept it for axes that it did not name
	maps.DeleteFunc(known, func(id, _ string) bool { return bySheetNumber.MatchString(id) })
	maps.Copy(known, given)
	return known
}

// bySheetNumber are ids that count the sheets of one file: an older program kept their answers,
// and left out whatever sheet had the number in the next file.
var bySheetNumber = regexp.MustCompile(`^sheet [0-9]+$`)

// usedAnswers are those that decided something.
func usedAnswers(a *question.Asker) question.Answers {
	used := question.Answers{}
	for _, u := range a.Used() {
		used[cmp.Or(u.Question.Kept, u.Question.ID)] = u.Word
	}
	return used
}

// keep tells the memory what was answered.
func (o Options) keep(header string, a *question.Asker) {
	used := usedAnswers(a)
	if o.Memory != nil && header != "" && len(used) > 0 {
		o.Memory.Keep(header, used)
	}
}

func message(q question.Question) string {
	s := q.Text
	if len(q.Examples) > 0 {
		s += " (" + strings.Join(q.Examples, "; ") + ")"
	}
	return s
}

// remedy says how to answer, and that an answer given is none of the choices.
func remedy(group []question.Question, given string) string {
	s := question.RemedyOf(group) + "; or write the answer under [answers] in a mapping file"
	if given != "" {
		s = "The answer " + given + " is none of the choices. " + s
	}
	return s
}

func textOf(u question.Answered) string {
	for _, c := range u.Question.Choices {
		if c.Word == u.Word {
			return c.Text
		}
	}
	return ""
}

// reading tells apart two readings of the same bytes: a hash of what was declared
// about the file, "" where nothing was. An answer that was remembered counts as one
// that was given: the same bytes read alike are the same file.
func (o Options) reading(used question.Answers) string {
	given := question.Answers{}
	for id, word := range used {
		if o.Mapping == nil || o.Mapping.Answers[id] != word {
			given[id] = word
		}
	}
	if o.Mapping == nil && o.Notation == casebook.NoNotation && len(given) == 0 {
		return ""
	}
	if len(given) == 0 {
		given = o.Answers // none, written as it always was
	}
	b, err := json.Marshal(struct {
		Mapping  *mapping.File
		Notation casebook.Notation
		Answers  question.Answers
	}{o.Mapping, o.Notation, given})
	if err != nil {
		panic(err) // a mapping holds texts, numbers and words alone
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:8])
}
