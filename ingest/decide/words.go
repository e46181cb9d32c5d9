package decide

import (
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
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
	if utf8.RuneCountInString(text) > 24 || privacy.LabelRule(text) != "" {
		return withheld(text)
	}
	return strings.TrimSpace(text)
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
		for _, s := range distinct(t, col, records(t)) {
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
	for text, n := range unknown {
		if utf8.RuneCountInString(text) > 3 && n < rareWord {
			delete(unknown, text)
		}
	}
	r.askAxes(at, unknown)
	r.tellCouples(known, out)
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
			if shownWord(text, at.Column) == q.Word {
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
	return all, near
}

// turned says what the words for a rotation mean, which the trade uses both ways.
var turned = map[casebook.Direction]string{
	casebook.MesialIn:  ": the mesial side inward, the distal side outward",
	casebook.MesialOut: ": the mesial side outward, the distal side inward",
}

// mostNear is how many near choices of a long list are shown first.
const mostNear = 5

// decideDates settles the order of dates such as 03/04/2025 kept as text: by
// other dates of the file, where all of them agree, else by asking.
func (r *File) decideDates(out *[]casebook.Problem) {
	if r.Dates != values.Undeclared {
		return
	}
	var at question.Question
	open, day, month := 0, 0, 0
	for _, t := range r.Tables {
		for _, f := range []columns.Field{columns.StartMonth, columns.EndMonth, columns.CourseStart} {
			col := t.Find(f)
			if col == 0 {
				continue
			}
			for _, s := range distinct(t, col, filled(t, col)) {
				if s.cell.Kind != sheet.String {
					continue
				}
				switch values.OrderOf(s.cell.Text) {
				case values.Undeclared:
					if open == 0 {
						at.Sheet, at.Cell, at.Column = t.Sheet.Name, sheet.Ref(s.first.Number, col), t.HeaderOf(col)
					}
					open += s.n
				case values.DayFirst:
					day += s.n
				case values.MonthFirst:
					month += s.n
				}
			}
		}
	}
	switch {
	case open == 0:
	case day > 1 && month == 0:
		r.Dates = values.DayFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read day first: %d of them can be read in no other way", day))
	case month > 1 && day == 0:
		r.Dates = values.MonthFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read month first: %d of them can be read in no other way", month))
	default:
		r.askDates(at, open)
	}
}

func (r *File) askDates(at question.Question, open int) {
	at.ID, at.Rule = "dates", string(rules.DateAmbiguous)
	at.Text = fmt.Sprintf("day and month of %d dates cannot be told apart: which comes first?", open)
	at.Choices = []question.Choice{{Word: "day first", Text: "03/04/2025 is in April"}, {Word: "month first", Text: "03/04/2025 is in March"}}
	switch r.Asker.Ask(at) {
	case "day first":
		r.Dates = values.DayFirst
	case "month first":
		r.Dates = values.MonthFirst
	}
}

// decideDirections asks what the words of a column of directions mean, by the
// axis beside them: "in" may be said of a torque and of a shift.
func (r *File) decideDirections() {
	type spoken struct {
		text string
		axis casebook.Axis
	}
	unknown := map[spoken]int{}
	places := map[spoken]question.Question{}
	for _, t := range r.Tables {
		col, axisCol := t.Find(columns.Direction), t.Find(columns.Axis)
		if col == 0 || t.Kind != casebook.MovementKind {
			continue
		}
		eachRow(t, func(row sheet.Row) {
			c := row.At(col)
			text := strings.TrimSpace(c.Text)
			if c.Kind != sheet.String || values.IsMissing(text, r.Missing) || text == "" {
				return
			}
			axis, _, _ := values.ParseAxis(r.Meant(columns.Axis, row.At(axisCol).Text))
			_, err := values.ParseDirection(r.MeantDirection(text, axis), axis)
			var f values.Fail
			if err == nil || errors.As(err, &f) && (f.Explained || f.Rule == rules.AxisAgainstWord) {
				return
			}
			k := spoken{text, axis}
			if unknown[k]++; unknown[k] == 1 {
				places[k] = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row.Number, col), Column: t.HeaderOf(col)}
			}
		})
	}
	var qs []question.Question
	asked := map[string]spoken{}
	for _, k := range slices.SortedFunc(maps.Keys(unknown), func(a, b spoken) int {
		return strings.Compare(a.text+a.axis.String(), b.text+b.axis.String())
	}) {
		if unknown[k] >= rareWord {
			q := aboutDirection(places[k], k.text, k.axis, unknown[k])
			qs, asked[q.ID] = append(qs, q), k
		}
	}
	r.askGroup(question.Group{ID: "direction words", Text: "which directions are"}, qs, func(q question.Question, word string) {
		k := asked[q.ID]
		r.learnt[learntWord{columns.Direction, values.Key(k.text) + " of " + k.axis.String()}] = word
	})
}

func aboutDirection(q question.Question, text string, axis casebook.Axis, n int) question.Question {
	shown := shownWord(text, q.Column)
	q.ID, q.Rule, q.Word, q.Count = "direction "+shown, string(rules.WordUnknown), shown, n
	q.Text = fmt.Sprintf("which direction is %q (%d times)?", shown, n)
	if axis != casebook.NoAxis {
		q.ID += " of " + axis.String()
		q.Word += " of " + axis.String()
		q.Text = fmt.Sprintf("which direction of %s is %q (%d times)?", axis, shown, n)
	}
	for _, d := range casebook.Directions() {
		if axis == casebook.NoAxis || d.Axis() == axis {
			q.Choices = append(q.Choices, question.Choice{Word: d.String(), Text: d.Axis().String()})
		}
	}
	return q
}

// MeantDirection is meant for the direction of a row, by its axis.
func (r *File) MeantDirection(text string, axis casebook.Axis) string {
	if len(r.learnt) > 0 {
		if to, ok := r.learnt[learntWord{columns.Direction, values.Key(text) + " of " + axis.String()}]; ok {
			return to
		}
	}
	return r.Meant(columns.Direction, text)
}

// eachRow calls f with every row that holds a record.
func eachRow(t *layout.Table, f func(sheet.Row)) {
	holds := records(t)
	for _, row := range t.Sheet.Rows {
		if holds(row) {
			f(row)
		}
	}
}

// decideTeeth asks whether an amount beside several teeth holds for each.
func (r *File) decideTeeth() {
	n := 0
	var at question.Question
	told := false
	for _, t := range r.Tables {
		col := t.Find(columns.Tooth)
		if col == 0 {
			continue
		}
		told = told || perTooth(t)
		eachCell(t, col, func(row int, c sheet.Cell) {
			if c.Kind == sheet.String && len(values.Teeth(c.Text)) > 1 {
				if n++; n == 1 {
					at = question.Question{Sheet: t.Sheet.Name, Cell: sheet.Ref(row, col), Column: t.HeaderOf(col)}
				}
			}
		})
	}
	if n == 0 {
		return
	}
	if told {
		r.SeveralTeeth = true
		return
	}
	at.ID, at.Rule = "several teeth", string(rules.ToothUnknown)
	at.Text = fmt.Sprintf("%d cells name several teeth beside one amount: does the amount hold for each of them?", n)
	at.Choices = []question.Choice{
		{Word: "each", Text: "each tooth was planned and achieved that much", Count: n},
		{Word: "reject", Text: "no, the rows cannot be used", Count: n},
	}
	r.SeveralTeeth = r.Asker.Ask(at) == "each"
}

// perTooth reports a header of amounts that says they are for each tooth.
func perTooth(t *layout.Table) bool {
	for _, c := range t.Columns {
		if c.Field != columns.Planned && c.Field != columns.Achieved {
			continue
		}
		for _, tok := range lexicon.Tokens(c.Text) {
			if tok.Concept == lexicon.Tooth {
				return true
			}
		}
	}
	return false
}
