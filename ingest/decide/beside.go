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
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// besideWord is a word beside amounts along an axis.
type besideWord struct {
	word string
	axis casebook.Axis
}

// longestBeside is how long a word beside an amount may be that is asked about: longer ones
// are remarks.
const longestBeside = 12

// decideBeside asks what words beside amounts mean that are no known direction of their
// movement. "0.7 in" is inches, unless "0.4 out" stands in the same movement too.
func (r *File) decideBeside() {
	for from := range r.mapping.WordsOf(columns.Direction) { // any order: a set
		r.beside[values.Key(from)] = true
	}
	count, places := map[besideWord]int{}, map[besideWord]question.Question{}
	outward := map[casebook.Axis]bool{}
	for _, t := range r.Tables {
		if t.Kind != casebook.MovementKind {
			continue
		}
		r.eachWorded(t, func(row sheet.Row, col int, k besideWord) {
			outward[k.axis] = outward[k.axis] || lexicon.Of(lexicon.Tokens(k.word))[lexicon.Outward]
			if count[k]++; count[k] == 1 {
				places[k] = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col)}
			}
		})
	}
	var qs []question.Question
	asked := map[string]besideWord{}
	for _, k := range slices.SortedFunc(maps.Keys(count), func(a, b besideWord) int {
		return strings.Compare(a.axis.String()+a.word, b.axis.String()+b.word)
	}) {
		if inch(k.word) && !outward[k.axis] || count[k] < rareWord || r.knowsBeside(k) {
			continue
		}
		q := aboutBeside(places[k], k, count[k])
		qs, asked[q.ID] = append(qs, q), k
	}
	r.askGroup(question.Group{ID: "beside words", Text: "which directions are the words beside amounts:"}, qs, func(q question.Question, word string) {
		k := asked[q.ID]
		r.beside[values.Key(k.word)] = true
		r.learnt[learntWord{columns.Direction, values.Key(k.word) + " of " + k.axis.String()}] = word
	})
}

// knowsBeside reports a word that is read without asking.
func (r *File) knowsBeside(k besideWord) bool {
	if inch(k.word) && !r.beside[values.Key(k.word)] {
		return false
	}
	meant := r.MeantDirection(k.word, k.axis)
	_, err := values.ParseDirection(meant, k.axis)
	return err == nil || values.TurningOf(meant) != values.NoTurning
}

// eachWorded calls f with every amount of a table beside which a word stands.
func (r *File) eachWorded(t *layout.Table, f func(row sheet.Row, col int, k besideWord)) {
	for _, a := range amountsOf(t) {
		for _, col := range []int{a.planned, a.achieved} {
			if col == 0 {
				continue
			}
			r.eachRow(t, func(row sheet.Row) {
				c := row.At(col)
				if c.Kind != sheet.String || values.IsMissing(c.Text, r.Missing) {
					return
				}
				word := r.wordBeside(c.Text)
				axis := a.axis
				if word == "" || a.directed {
					return
				}
				if axis == casebook.NoAxis {
					axis = r.axisIn(t, row)
				}
				if axis != casebook.NoAxis {
					f(row, col, besideWord{word, axis})
				}
			})
		}
	}
}

// wordBeside is the word beside an amount, "" where there is none, or a remark.
func (r *File) wordBeside(text string) string {
	word := strings.TrimFunc(text, func(c rune) bool { return !unicode.IsLetter(c) })
	if a, err := values.ParseAmount(text, r.decimal); err == nil {
		word = a.Word
	} else if _, err := values.ParseAmount(strings.Replace(text, word, "", 1), r.decimal); !inch(word) || err != nil {
		return ""
	}
	if word = strings.ToLower(strings.TrimSpace(word)); utf8.RuneCountInString(word) > longestBeside || strings.Contains(word, " ") {
		return ""
	}
	return word
}

// inch reports the word that is a unit and a direction.
func inch(word string) bool { return strings.EqualFold(word, "in") }

func aboutBeside(q question.Question, k besideWord, n int) question.Question {
	shown := shownWord(k.word, q.Column)
	q.ID, q.Rule, q.Count = "beside "+shown+" of "+k.axis.String(), string(rules.WordUnknown), n
	q.Word = shown + " of " + k.axis.String()
	q.Text = fmt.Sprintf("which direction of %s is %q beside an amount (%d times)?", k.axis, shown, n)
	if k.axis == casebook.BuccolingualShift {
		if d, err := values.ParseDirection(k.word, k.axis); err == nil {
			q.Proposed = d.String()
		}
	}
	for _, d := range casebook.Directions() {
		if d.Axis() == k.axis {
			q.Choices = append(q.Choices, question.Choice{Word: d.String(), Text: d.String() + turned[d], Count: n})
		}
	}
	q.Choices = append(q.Choices, question.Choice{Word: "reject", Text: "none; these amounts are left out", Count: n})
	return q
}
