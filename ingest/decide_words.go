package ingest

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// meant replaces a word of the file by the word that the mapping or an answer
// gives for it.
func (r *reader) meant(f columns.Field, text string) string {
	if to, ok := r.learnt[learntWord{f, values.Key(text)}]; ok {
		return to
	}
	if r.o.Mapping != nil {
		for from, to := range r.o.Mapping.Words[f.String()] {
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
func (r *reader) learn(f columns.Field, text, word string) {
	r.learnt[learntWord{f, values.Key(text)}] = word
}

// shownWord is a word of the file as a question may repeat it: not at all where
// the privacy screen objects.
func shownWord(text, header string) string {
	if utf8.RuneCountInString(text) > 24 || privacy.LabelRule(text) != "" {
		return "(withheld)"
	}
	return strings.TrimSpace(text)
}

// usualLetters are letters for movements that are read one way wherever they
// are used (common practice, no source); T and A only where both stand.
var usualLetters = map[string]string{
	"e": "extrusion", "ex": "extrusion", "i": "intrusion", "in": "intrusion", "r": "rotation", "ro": "rotation", "rt": "rotation",
	"tq": "buccolingual torque", "to": "buccolingual torque", "tr": "buccolingual torque", "ti": "mesiodistal tip", "tp": "mesiodistal tip",
	"a": "mesiodistal tip", "v": "vertical",
}

// decideWords asks what words and letters of the axis mean that are not known.
func (r *reader) decideWords(*mapping.File) {
	unknown := map[string]int{}
	var at question.Question
	for _, t := range r.tables {
		col := t.Find(columns.Axis)
		if col == 0 {
			continue
		}
		eachCell(t, col, func(row int, c sheet.Cell) {
			text := strings.TrimSpace(c.Text)
			_, _, err := values.ParseAxis(r.meant(columns.Axis, text))
			var f values.Fail
			switch {
			case err == nil:
			case values.IsMissing(text, r.missing), values.IsTotal(text), c.Kind != sheet.String:
			case errors.As(err, &f) && f.Explained:
			default:
				unknown[text]++
				if at.Cell == "" {
					at.Sheet, at.Cell, at.Column = t.Sheet.Name, sheet.Ref(row, col), t.HeaderOf(col)
				}
			}
		})
	}
	for text, n := range unknown {
		if utf8.RuneCountInString(text) > 3 && n < rareWord {
			delete(unknown, text)
		}
	}
	if len(unknown) > 0 && !r.askLetters(at, unknown) {
		r.askAxes(at, unknown)
	}
}

// askLetters asks once about letters that are all usual ones.
func (r *reader) askLetters(at question.Question, unknown map[string]int) bool {
	letters := maps.Clone(usualLetters)
	has := func(k string) bool {
		return slices.ContainsFunc(slices.Collect(maps.Keys(unknown)), func(s string) bool { return values.Key(s) == k })
	}
	if has("a") || has("ti") || has("tp") {
		letters["t"] = "buccolingual torque"
	}
	var pairs []string
	for _, text := range slices.Sorted(maps.Keys(unknown)) {
		to, ok := letters[values.Key(text)]
		if !ok {
			return false
		}
		pairs = append(pairs, fmt.Sprintf("%s = %s (%d)", text, to, unknown[text]))
	}
	if len(pairs) < 2 {
		return false
	}
	q := at
	q.ID, q.Rule = "axis letters", string(rules.AxisUnknown)
	q.Text = "the movements are written as letters: do they mean " + strings.Join(pairs, ", ") + "?"
	q.Choices = []question.Choice{{Word: "yes", Text: "as listed; where they mean something else, write each under [words.axis] in a mapping file"}}
	q.Proposed = "yes"
	if r.asker.Ask(q) == "yes" {
		for text := range unknown {
			r.learn(columns.Axis, text, letters[values.Key(text)])
		}
	}
	return true
}

func (r *reader) askAxes(at question.Question, unknown map[string]int) {
	for _, text := range slices.Sorted(maps.Keys(unknown)) {
		q := at
		shown := shownWord(text, q.Column)
		q.ID, q.Rule = "axis "+shown, string(rules.AxisUnknown)
		q.Text = fmt.Sprintf("which movement is %q (%d times)?", shown, unknown[text])
		for _, a := range casebook.Axes() {
			q.Choices = append(q.Choices, question.Choice{Word: a.String(), Text: "by sign, or without direction"})
		}
		for _, d := range casebook.Directions() {
			q.Choices = append(q.Choices, question.Choice{Word: d.String(), Text: d.Axis().String()})
		}
		if word := r.asker.Ask(q); word != "" {
			r.learn(columns.Axis, text, word)
		}
	}
}

// decideDates settles the order of dates such as 03/04/2025 kept as text: by
// other dates of the file, where all of them agree, else by asking.
func (r *reader) decideDates(out *[]casebook.Problem) {
	if r.dates != values.Undeclared {
		return
	}
	var at question.Question
	open, day, month := 0, 0, 0
	for _, t := range r.tables {
		for _, f := range []columns.Field{columns.StartMonth, columns.EndMonth, columns.CourseStart} {
			col := t.Find(f)
			if col == 0 {
				continue
			}
			eachCell(t, col, func(row int, c sheet.Cell) {
				if c.Kind != sheet.String {
					return
				}
				switch values.OrderOf(c.Text) {
				case values.Undeclared:
					if open++; open == 1 {
						at.Sheet, at.Cell, at.Column = t.Sheet.Name, sheet.Ref(row, col), t.HeaderOf(col)
					}
				case values.DayFirst:
					day++
				case values.MonthFirst:
					month++
				}
			})
		}
	}
	switch {
	case open == 0:
	case day > 1 && month == 0:
		r.dates = values.DayFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read day first: %d of them can be read in no other way", day))
	case month > 1 && day == 0:
		r.dates = values.MonthFirst
		*out = append(*out, rules.New(rules.LayoutAssumed, "dates were read month first: %d of them can be read in no other way", month))
	default:
		r.askDates(at, open)
	}
}

func (r *reader) askDates(at question.Question, open int) {
	at.ID, at.Rule = "dates", string(rules.DateAmbiguous)
	at.Text = fmt.Sprintf("day and month of %d dates cannot be told apart: which comes first?", open)
	at.Choices = []question.Choice{{Word: "day first", Text: "03/04/2025 is in April"}, {Word: "month first", Text: "03/04/2025 is in March"}}
	switch r.asker.Ask(at) {
	case "day first":
		r.dates = values.DayFirst
	case "month first":
		r.dates = values.MonthFirst
	}
}
