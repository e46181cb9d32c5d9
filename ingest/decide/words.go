package decide

import (
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Meant replaces a word of the file by the word that the mapping or an answer
// gives for it.
func (r *File) Meant(f columns.Field, text string) string {
	if len(r.learnt) > 0 {
		if to, ok := r.learnt[learntWord{f, values.Key(text)}]; ok {
			return to
		}
	}
	if r.mapping != nil {
		// any order: of two that are the same word the mapping has one meaning
		for from, to := range r.mapping.Words[f.String()] {
			if values.Key(from) == values.Key(text) {
				return to
			}
		}
	}
	return text
}

type learntWord struct {
	field columns.Field
	key   string
}

// learn keeps what an answer says a word means.
func (r *File) learn(f columns.Field, text, word string) {
	r.learnt[learntWord{f, values.Key(text)}] = word
}

// shownWord is a word of the file as a question may repeat it: not at all where
// the privacy screen objects.
func shownWord(text, header string) string {
	if lexicon.AllKnown(text) {
		return strings.TrimSpace(text)
	}
	if utf8.RuneCountInString(text) > longestShown(text) || privacy.LabelRule(text) != "" {
		return withheld(text)
	}
	return strings.TrimSpace(text)
}

// longestShown is how many characters a word may have that a question repeats: names and
// remarks are longer than words, but for those that say how a tooth moves, whose unknown
// words have neither digits nor capital letters.
func longestShown(text string) int {
	moves := false
	for _, word := range strings.FieldsFunc(text, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) }) {
		for _, t := range lexicon.Tokens(word) {
			moves = moves || lexicon.IsMovement(t.Concept)
			if t.Concept == lexicon.None && strings.ContainsFunc(word, func(c rune) bool { return unicode.IsUpper(c) || unicode.IsDigit(c) }) {
				return 24
			}
		}
	}
	if moves {
		return 60
	}
	return 24
}

// withheld names a word that is not repeated by a number made from it.
func withheld(text string) string {
	return fmt.Sprintf("(withheld %d)", crc32.ChecksumIEEE([]byte(values.Key(text)))%10000)
}

// usualLetters are letters for movements that are read one way wherever they
// are used (common practice, no source); T and A only where both stand.
var usualLetters = map[string]string{
	"e": "extrusion", "ex": "extrusion", "i": "intrusion", "in": "intrusion", "r": "rotation", "ro": "rotation", "rt": "rotation",
	"tq": "buccolingual torque", "to": "buccolingual torque", "tr": "buccolingual torque", "ti": "mesiodistal tip", "tp": "mesiodistal tip",
	"a": "mesiodistal tip", "v": "vertical",
}

// decideWords asks what words and letters of the axis mean that are not known, and tells
// what those are read as that can mean more than one thing in the chair.
func (r *File) decideWords(out *[]casebook.Problem) {
	unknown := map[string]int{}
	known := map[string]int{}
	var at question.Question
	for _, t := range r.Tables {
		col := t.Find(columns.Axis)
		if col == 0 {
			continue
		}
		for _, s := range distinct(t, col, r.records(t)) {
			c, row := s.cell, s.first.Number
			text := strings.TrimSpace(c.Text)
			_, _, err := values.ParseAxis(r.Meant(columns.Axis, text))
			var f values.Fail
			switch {
			case err == nil:
				known[text] += s.n
			case values.IsMissing(text, r.Missing), c.Kind != sheet.String && c.Kind != sheet.Number, text == "":
			case errors.As(err, &f) && f.Explained:
			default:
				unknown[text] += s.n
				if at.Cell == "" {
					at.Sheet, at.Cell, at.Column = t.Sheet.Name, sheet.Ref(row, col), t.HeaderOf(col)
				}
			}
		}
	}
	dropRare(unknown)
	r.askAxes(at, unknown)
	r.tellCouples(known, out)
}

// mostRare is how many words that stand once are asked about beside others.
const mostRare = 12

// dropRare leaves out words that stand once, which are slips and cost their rows; a few of
// them beside others that are asked about are words of the same language.
func dropRare(unknown map[string]int) {
	rare := func(text string, n int) bool { return utf8.RuneCountInString(text) > 3 && n < rareWord }
	few := 0
	for text, n := range unknown {
		if rare(text, n) {
			few++
		}
	}
	if few < len(unknown) && few <= mostRare {
		return
	}
	maps.DeleteFunc(unknown, rare)
}

// tellCouples says which words of crown, root, tip and torque are read as one movement:
// what the crown does one way and the root the other is one couple along one axis.
func (r *File) tellCouples(known map[string]int, out *[]casebook.Problem) {
	var told []string
	for _, text := range slices.Sorted(maps.Keys(known)) {
		axis, d, err := values.ParseAxis(r.Meant(columns.Axis, text))
		of := lexicon.Of(lexicon.Tokens(text))
		tilted := axis == casebook.Torque && (of[lexicon.Tip] || of[lexicon.Tipping]) || of[lexicon.Root] || of[lexicon.Crown]
		if err != nil || !tilted || d == casebook.NoDirection || len(told) == mostTold {
			continue
		}
		told = readAs(told, shownWord(text, ""), d.String(), known[text])
	}
	if len(told) > 0 {
		*out = append(*out, rules.New(rules.LayoutAssumed, "%s: crown and root turn about one axis, whose sign is that of the crown", strings.Join(told, ", ")))
	}
}

// lettersOf are the usual letters as they are read in a file of these words.
func lettersOf(unknown map[string]int) map[string]string {
	letters := maps.Clone(usualLetters)
	for text := range unknown {
		if k := values.Key(text); k == "a" || k == "ti" || k == "tp" {
			letters["t"] = "buccolingual torque"
		}
	}
	return letters
}

// askAxes asks in one question what all words and letters of the axis mean that
// are not known.
func (r *File) askAxes(at question.Question, unknown map[string]int) {
	letters := lettersOf(unknown)
	var qs []question.Question
	for _, text := range slices.Sorted(maps.Keys(unknown)) {
		q := at
		q.Word, q.Count = shownWord(text, q.Column), unknown[text]
		q.ID, q.Rule = "axis "+q.Word, string(rules.AxisUnknown)
		q.Text = fmt.Sprintf("which movement is %q (%d times)?", q.Word, q.Count)
		q.Proposed = letters[values.Key(text)]
		q.Choices, q.Near = movementChoices(text, q.Proposed)
		qs = append(qs, q)
	}
	r.askGroup(question.Group{ID: "axis words", Text: "which movements are"}, qs, func(q question.Question, word string) {
		// any order: each word is learnt by itself
		for text := range unknown {
			if shownWord(text, at.Column) == q.Word && word != NotRecorded {
				r.learn(columns.Axis, text, word)
			}
		}
	})
}

// askGroup puts questions about several words as one; the sentence of the group is
// its beginning with the words and their counts.
func (r *File) askGroup(g question.Group, qs []question.Question, answered func(question.Question, string)) {
	if len(qs) > 1 {
		var words []string
		for _, q := range qs {
			w := fmt.Sprintf("%q (%d times", q.Word, q.Count)
			if q.Proposed != "" {
				w += ", perhaps " + q.Proposed
			}
			words = append(words, w+")")
		}
		g.Text += " " + strings.Join(words, ", ") + "?"
	}
	for _, q := range qs {
		if len(qs) > 1 {
			q.Group = &g
		}
		if word := r.Asker.Ask(q); word != "" {
			answered(q, word)
		}
	}
}

// movementChoices lists the movements a word may mean: first the one that is
// proposed and those that share a word with it, of which near says how many.
func movementChoices(text, proposed string) (out []question.Choice, near int) {
	var all []question.Choice
	for _, a := range casebook.Axes() {
		all = append(all, question.Choice{Word: a.String(), Text: a.String() + ": which way is told by the sign, or not at all"})
	}
	for _, d := range casebook.Directions() {
		all = append(all, question.Choice{Word: d.String(), Text: d.String() + turned[d]})
	}
	own := lexicon.Of(lexicon.Tokens(text))
	shared := func(c question.Choice) int {
		if c.Word == proposed {
			return 2*len(own) + 1
		}
		n := 0
		for concept := range lexicon.Of(lexicon.Tokens(c.Word)) {
			switch {
			case own[concept] && lexicon.IsSide(concept):
				n++
			case own[concept]: // what moves says more than the side it moves to
				n += 2
			}
		}
		return n
	}
	slices.SortStableFunc(all, func(a, b question.Choice) int { return shared(b) - shared(a) })
	for _, c := range all {
		if near < mostNear && 2*shared(c) > shared(all[0]) {
			near++
		}
	}
	if near == 0 {
		near = -1
	}
	return append(all, noneOfThese), near
}

// noneOfThese leaves a word of a movement or a direction without a meaning.
var noneOfThese = question.Choice{Word: NotRecorded, Text: "not recorded, or none of these; the rows are left out"}

// turned says what the words for a rotation mean, which the trade uses both ways.
var turned = map[casebook.Direction]string{
	casebook.MesialIn:  ": the mesial side inward, the distal side outward",
	casebook.MesialOut: ": the mesial side outward, the distal side inward",
}

// mostNear is how many near choices of a long list are shown first.
const mostNear = 5
