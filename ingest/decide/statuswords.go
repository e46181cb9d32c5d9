package decide

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// mostStatusWords that are not known are asked about: a column of more is one of remarks.
const mostStatusWords = 12

// asItIs is the answer that keeps a word as a category of the practice's own.
const asItIs = "as it is"

// decideStatusWords asks how cases stand whose status is in words that are not known: which
// of them are completed decides of which refinements are counted.
func (r *File) decideStatusWords() {
	unknown, first := map[string]int{}, map[string]question.Question{}
	for _, t := range r.Tables {
		col := t.Find(columns.Status)
		if col == 0 || t.Kind != casebook.CaseKind {
			continue
		}
		for _, s := range distinct(t, col, r.records(t)) {
			text := strings.TrimSpace(s.cell.Text)
			meant := r.Meant(columns.Status, text)
			if _, err := values.ParseStatus(meant); err == nil || text == "" || s.cell.Kind != sheet.String || values.IsMissing(meant, r.Missing) || IsNotRecorded(meant) {
				continue
			}
			if _, seen := first[text]; !seen { // where a word that is withheld can be looked up
				first[text] = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(s.first.Number, col), Column: t.HeaderOf(col)}
			}
			unknown[text] += s.n
		}
	}
	if len(unknown) > mostStatusWords {
		return
	}
	var qs []question.Question
	for _, text := range slices.Sorted(maps.Keys(unknown)) {
		q := first[text]
		q.Word, q.Count = knownOrWithheld(text), unknown[text]
		q.ID, q.Rule = "status "+q.Word, string(rules.WordUnknown)
		q.Text = fmt.Sprintf("how does a case stand whose status is %q (%d times, first in %s)?", q.Word, q.Count, q.Cell)
		for _, s := range casebook.Statuses() {
			q.Choices = append(q.Choices, question.Choice{Word: s.String(), Text: statusMeans[s], Count: q.Count})
		}
		q.Choices = append(q.Choices,
			question.Choice{Word: NotRecorded, Text: "that is not known; the cases are kept without a status", Count: q.Count},
			question.Choice{Word: asItIs, Text: "none of these: a category of its own, which counts neither as completed nor as under treatment", Count: q.Count})
		qs = append(qs, q)
	}
	r.askGroup(question.Group{ID: "status words", Text: "how do cases stand whose status is"}, qs, func(q question.Question, word string) {
		for text := range unknown { // any order: each word is learnt by itself
			if word != asItIs && knownOrWithheld(text) == q.Word {
				r.learn(columns.Status, text, word)
			}
		}
	})
}

// knownOrWithheld is a word as a question about cases may repeat it: beside a patient's code a
// name stands as easily as a word, so only words of the trade are.
func knownOrWithheld(text string) string {
	if lexicon.AllKnown(text) && !asName(text) {
		return text
	}
	return withheld(text)
}

// asName reports a text each word of which begins with a capital letter: some words of the
// trade are names too (Max, Media).
func asName(text string) bool {
	return !slices.ContainsFunc(strings.Fields(text), func(word string) bool {
		first, _ := utf8.DecodeRuneInString(word)
		return !unicode.IsUpper(first)
	})
}

// statusMeans says what the words of the status mean.
var statusMeans = map[casebook.Status]string{
	casebook.Completed:      "the treatment was finished as intended",
	casebook.Discontinued:   "it was stopped before its end",
	casebook.Switched:       "it went on with another appliance",
	casebook.Transferred:    "it went on in another practice",
	casebook.UnderTreatment: "it still goes on",
}
