// Package question is what reading asks a person where a spreadsheet leaves
// something open: the question, its choices with what stands behind each, and
// the answers.
//
// Place in the pipeline: layout and ingest put questions to an Asker; a file with
// an open one is refused and the question handed to whoever can answer it, on a
// terminal, on the command line or on a page. It is pure data and imports
// nothing of the project.
package question

import (
	"fmt"
	"slices"
	"strings"
)

// Question is one open point of a file.
type Question struct {
	ID       string   `json:"id"` // stable, as --answer and [answers] of a mapping write it: "signs"
	Rule     string   `json:"rule,omitempty"`
	Sheet    string   `json:"sheet,omitempty"` // "" where it concerns the whole file
	Cell     string   `json:"cell,omitempty"`
	Row      int      `json:"row,omitempty"`    // where there is no cell
	Column   string   `json:"column,omitempty"` // header of the column it is about
	Text     string   `json:"text"`             // one plain sentence, ending in a question mark
	Choices  []Choice `json:"choices"`
	Proposed string   `json:"proposed,omitempty"` // word of the choice that Enter takes, "" where none is
	Several  bool     `json:"several,omitempty"`  // more than one choice may be taken, with commas between
	Examples []string `json:"examples,omitempty"` // up to three rows in plain words, in the order of the file
	// Near is how many of the choices, the first ones, are shown at length: 0 for all,
	// -1 for none.
	Near int `json:"near,omitempty"`
	// Group joins questions about several words of one column, which are put as
	// one: the id of the group and its own sentence. Word is the word asked about.
	Group *Group `json:"group,omitempty"`
	Word  string `json:"word,omitempty"`
	// Kept is the id under which the answer is remembered for later files, "" for ID: one that
	// says what the question is about, where ID counts places in this file.
	Kept  string `json:"kept,omitempty"`
	Count int    `json:"count,omitempty"` // how often the word stands in the file
}

// Group is one question about several words.
type Group struct {
	ID   string `json:"id"`   // "axis words"
	Text string `json:"text"` // one plain sentence, ending in a question mark
}

// Groups parts questions into those that are put as one: each is a list of one
// question, or of all that have its group, in the order of asking.
func Groups(qs []Question) [][]Question {
	var out [][]Question
	at := map[string]int{}
	for _, q := range qs {
		if q.Group == nil {
			out = append(out, []Question{q})
			continue
		}
		if i, ok := at[q.Group.ID]; ok {
			out[i] = append(out[i], q)
			continue
		}
		at[q.Group.ID] = len(out)
		out = append(out, []Question{q})
	}
	return out
}

// Choice is one possible answer.
type Choice struct {
	Word  string `json:"word"` // what is typed: "sizes"
	Text  string `json:"text"` // what it means
	Count int    `json:"count,omitempty"`
	// Masked: the text repeats nothing of a cell.
	Masked bool `json:"masked,omitempty"`
}

// Has reports a choice with the word, or several of them where that is allowed.
func (q Question) Has(word string) bool {
	if q.Several && strings.Contains(word, ",") {
		for part := range strings.SplitSeq(word, ",") {
			if part = strings.TrimSpace(part); strings.Contains(part, ",") || !q.Has(part) {
				return false
			}
		}
		return true
	}
	return slices.ContainsFunc(q.Choices, func(c Choice) bool { return c.Word == word })
}

// Words lists the words of the choices.
func (q Question) Words() []string {
	out := make([]string, len(q.Choices))
	for i, c := range q.Choices {
		out[i] = c.Word
	}
	return out
}

// Shown is how many of the choices, the first ones, are shown at length.
func (q Question) Shown() int {
	if q.Near == 0 {
		return len(q.Choices)
	}
	return min(max(q.Near, 0), len(q.Choices))
}

// Remedy is the sentence that says how to answer on the command line.
func (q Question) Remedy() string {
	if len(q.Choices) == 0 {
		return ""
	}
	near := q.Shown()
	var parts []string
	for _, c := range q.Choices[:near] {
		parts = append(parts, fmt.Sprintf("--answer %s (%s)", quoted(q.ID+"="+c.Word), c.Text))
	}
	if rest := q.Words()[near:]; len(rest) > 0 {
		parts = append(parts, fmt.Sprintf("--answer %s with one of: %s", quoted(q.ID+"=..."), strings.Join(rest, ", ")))
	}
	return "Answer with " + strings.Join(parts, ", or ")
}

// RemedyOf says how to answer questions that are put as one: all of them in one
// answer, a word of the sheet and its meaning each.
func RemedyOf(group []Question) string {
	if len(group) == 1 {
		return group[0].Remedy()
	}
	var words, choices []string
	for _, q := range group {
		to := q.Proposed
		if to == "" {
			to = "..."
		}
		words = append(words, q.Word+": "+to)
		for _, c := range q.Choices {
			if !slices.Contains(choices, c.Word) {
				choices = append(choices, c.Word)
			}
		}
	}
	return fmt.Sprintf("Answer with --answer %s, each word with one of: %s", quoted(group[0].Group.ID+"="+strings.Join(words, "; ")), strings.Join(choices, ", "))
}

// ofGroup finds the answer to one question of a group in that to the whole group:
// "E: extrusion; I: intrusion".
func (a Answers) ofGroup(q Question) string {
	if q.Group == nil {
		return ""
	}
	for part := range strings.SplitSeq(a[q.Group.ID], ";") {
		if to, ok := strings.CutPrefix(strings.TrimSpace(part), q.Word+":"); ok {
			return strings.TrimSpace(to)
		}
	}
	return ""
}

// quoted puts a word of the command line into quotation marks where it needs them.
func quoted(s string) string {
	if strings.ContainsAny(s, " ()&;'*?$#<>|\\\"!`") {
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, `$`, `\$`, "`", "\\`").Replace(s) + `"`
	}
	return s
}

// Answers are the words chosen, by the id of the question.
type Answers map[string]string

// Parse reads "id=choice".
func Parse(s string) (id, word string, err error) {
	id, word, ok := strings.Cut(s, "=")
	id, word = strings.TrimSpace(id), strings.TrimSpace(word)
	if !ok || id == "" || word == "" {
		return "", "", fmt.Errorf("an answer is written id=choice, such as signs=sizes")
	}
	return id, word, nil
}

// Asker gives the answers it knows and gathers the questions it cannot answer.
// The zero value knows none.
type Asker struct {
	Answers Answers
	open    []Question
	asked   map[string]bool
	used    []Answered
}

// Answered is a question with the answer that was used.
type Answered struct {
	Question Question
	Word     string
}

// Ask gives the answer to a question, "" where there is none yet: the question
// is then open. A question asked twice under one id is one question.
func (a *Asker) Ask(q Question) string { return a.AskSaid(q, "") }

// AskSaid is Ask, where something said of more than this question answers it, if nothing
// else does.
func (a *Asker) AskSaid(q Question, said string) string {
	word := a.Answers[q.ID]
	if word == "" {
		word = a.Answers.ofGroup(q)
	}
	if word == "" && q.Kept != "" {
		word = a.Answers[q.Kept]
	}
	if word == "" {
		word = said
	}
	if !q.Has(word) {
		word = ""
	}
	if a.asked == nil {
		a.asked = map[string]bool{}
	}
	if q.Group != nil {
		a.asked[q.Group.ID] = true
	}
	if q.Kept != "" {
		a.asked[q.Kept] = true
	}
	if a.asked[q.ID] {
		return word
	}
	a.asked[q.ID] = true
	if word == "" {
		a.open = append(a.open, q)
	} else {
		a.used = append(a.used, Answered{q, word})
	}
	return word
}

// Offer gives the answer to a question that need not be answered: without one, its
// asker goes by a rule of its own.
func (a *Asker) Offer(q Question) string {
	open := len(a.open)
	word := a.Ask(q)
	a.open = a.open[:open]
	return word
}

// Open lists the questions without an answer, in the order of asking.
func (a *Asker) Open() []Question { return a.open }

// Used lists the answers that decided something.
func (a *Asker) Used() []Answered { return a.used }

// Unused lists the ids of answers that no question asked for, sorted.
func (a *Asker) Unused() []string {
	var out []string
	for id := range a.Answers {
		if !a.asked[id] {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}
