package layout

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// titles gives the loose texts above a header: labels with their values are none, nor is a
// word that labels the date on which something begins.
func titles(s *sheet.Sheet, header int) []string {
	var out []string
	for _, r := range s.Rows[:header] {
		for i, c := range r.All() {
			if c.Kind != sheet.String || len(c.Text) > 80 || onlyBegins(c.Text) {
				continue
			}
			f := parse(sheet.Clean(strings.TrimRight(c.Text, ": ")), casebook.MovementKind).Field
			if _, label := sheet.ValueOf(r, i, isLabel); !label || f == columns.NoField || f == columns.Course {
				out = append(out, c.Text)
			}
		}
	}
	return out
}

// onlyBegins reports words that say that something begins, and not that it is the first:
// "Start", "Beginn:", "date of start".
func onlyBegins(text string) bool {
	begins := false
	for _, t := range lexicon.Tokens(text) {
		switch {
		case t.Concept == lexicon.Start:
			for word := range strings.FieldsSeq(t.Text) {
				if slices.ContainsFunc(firstWords, func(w string) bool { return strings.HasPrefix(word, w) }) {
					return false
				}
			}
			begins = true
		case t.Concept != lexicon.Filler && t.Concept != lexicon.Month:
			return false
		}
	}
	return begins
}

// firstWords begin the words for the first of several courses, in the languages of the
// lexicon.
var firstWords = []string{"init", "inicia", "inizia", "erst", "first", "premi", "prim", "eerst", "pierwsz", "poczatkow", "forst", "original", "haupt"}

// courseByName takes the course of a table without such a column from the name
// of its sheet or from a title above it, and asks where they differ. A refinement without
// a number is the first where it is the only one and the initial course stands on another
// sheet.
func (f *Found) courseByName() {
	var unnumbered []*Table
	initial, numbered := false, false
	for _, t := range f.Tables {
		if t.Kind == casebook.CaseKind || t.Has(columns.Course) || len(t.Pairs) > 0 && t.Pairs[0].Course > 0 {
			continue
		}
		said := t.coursesSaid()
		if len(said) == 0 {
			continue
		}
		n := said[0]
		if len(said) > 1 {
			n = f.askSaid(t, said)
		}
		initial, numbered = initial || n == 1, numbered || n > 1
		switch {
		case n == 0:
			unnumbered = append(unnumbered, t)
		case n > 0:
			f.saidIs(t, n)
		}
	}
	if len(unnumbered) == 1 && initial && !numbered {
		f.saidIs(unnumbered[0], 2)
	}
}

// coursesSaid are the courses that the name of the sheet and the titles above a table say,
// 0 for a refinement of which none of them gives the number.
func (t *Table) coursesSaid() []int {
	var out []int
	for _, text := range slices.Concat([]string{behindCode(t.Sheet.Name)}, t.titles) {
		if n, ok := values.CourseSaid(text); ok && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	if slices.ContainsFunc(out, func(n int) bool { return n > 1 }) {
		out = slices.DeleteFunc(out, func(n int) bool { return n == 0 })
	}
	return out
}

// behindCode is the name of a sheet without the code of a case before the course: of
// "KD-07 refinement 1" what is behind its first word.
func behindCode(name string) string {
	code, rest, _ := strings.Cut(strings.TrimSpace(name), " ")
	if _, course := values.CourseSaid(code); course || !strings.ContainsAny(code, "0123456789") || strings.Trim(code, "0123456789.") == "" {
		return name
	}
	return rest
}

// askSaid asks for the course of a table of which its name and its titles say different
// ones; -1 where that stays open.
func (f *Found) askSaid(t *Table, said []int) int {
	q := question.Question{
		ID: "course of " + t.Sheet.Name, Rule: string(rules.CourseAssumed), Sheet: t.Sheet.Name, Row: t.Header,
		Text: "the name of the sheet and what stands above the table say different courses (sets of aligners): of which course is the table?",
	}
	for _, n := range said {
		if n == 0 {
			n = 2 // a refinement without its number
		}
		q.Choices = append(q.Choices, courseChoice(n))
	}
	word := f.asker.Ask(q)
	if n, err := values.ParseCourse(word); err == nil && word != "" {
		return n
	}
	t.Constants[columns.Course] = "1" // what the other questions need until this one is answered
	return -1
}

// courseChoice names a course as answers do.
func courseChoice(n int) question.Choice {
	if n == 1 {
		return question.Choice{Word: "initial", Text: "the initial course, from the first plan"}
	}
	return question.Choice{Word: fmt.Sprint("refinement ", n-1), Text: fmt.Sprintf("the course of refinement %d", n-1)}
}

func (f *Found) saidIs(t *Table, n int) {
	t.Constants[columns.Course] = fmt.Sprint(n)
	f.add(rules.LayoutAssumed, t.Sheet, "every row was read as course %d, as the name of the sheet or a title says", n)
}

// fieldByName takes the style or the movement of the tables that have no such
// column from the names of their sheets, where each of at least two names one.
func (f *Found) fieldByName() {
	for _, by := range []struct {
		field columns.Field
		lacks func(*Table) bool
		reads func(string) bool
	}{
		{columns.Style, func(t *Table) bool { return !t.Has(columns.Style) && !t.Has(columns.Shape) && len(t.Marks) == 0 }, readsStyle},
		{columns.Axis, func(t *Table) bool { return !t.Has(columns.Axis) && !t.Has(columns.Direction) }, readsAxis},
	} {
		said := map[*Table]string{}
		var lacking []*Table
		for _, t := range f.Tables {
			if t.Kind != casebook.MovementKind || len(t.Pairs) > 0 || !by.lacks(t) {
				continue
			}
			lacking = append(lacking, t)
			for _, text := range slices.Concat([]string{t.Sheet.Name}, t.titles) {
				if word := partThat(by.reads, text); word != "" {
					said[t] = word
					break
				}
			}
		}
		if by.field == columns.Style && len(said) > 0 && len(said) < len(lacking) {
			f.askStyles(lacking, said)
		}
		if len(said) < 2 || len(said) < len(lacking) {
			continue
		}
		for t, word := range said {
			t.Constants[by.field] = word
		}
		for _, t := range lacking {
			f.add(rules.LayoutAssumed, t.Sheet, "every row was read with the %s that the name of the sheet or a title says", by.field)
		}
	}
}

// askStyles asks for the style of each sheet whose name does not tell it, where
// those of others do.
func (f *Found) askStyles(lacking []*Table, said map[*Table]string) {
	for _, t := range lacking {
		if said[t] != "" {
			continue
		}
		word := f.asker.Ask(question.Question{
			ID: "style of " + t.Sheet.Name, Sheet: t.Sheet.Name,
			Text: "the names of other sheets say the style of the attachment: what is it on this one?",
			Choices: []question.Choice{
				{Word: "none", Text: "no attachment"},
				{Word: "software", Text: "suggested by the software"},
				{Word: "clinician", Text: "designed or changed by the clinician"},
				{Word: "not recorded", Text: "it was not recorded"},
			},
		})
		if word != "" {
			said[t] = word
		}
	}
}

func readsStyle(s string) bool { _, err := values.ParseStyle(s); return err == nil && len(s) > 2 }

func readsAxis(s string) bool { _, _, err := values.ParseAxis(s); return err == nil && len(s) > 2 }

// longestSheetName is where spreadsheet programs cut the name of a sheet, in
// characters.
const longestSheetName = 31

// partThat gives the longest tail or part of a text that reads as a word: sheet
// names are cut at 31 characters, and the name of the field may stand before.
func partThat(reads func(string) bool, text string) string {
	if reads(text) {
		return text
	}
	words := strings.Fields(text)
	if n := len(words); n > 1 && utf8.RuneCountInString(text) == longestSheetName {
		for _, whole := range lexicon.Beginning(words[n-1]) {
			if s := strings.Join(append(slices.Clone(words[:n-1]), whole), " "); reads(s) {
				return s
			}
		}
	}
	for i := 1; i < len(words); i++ {
		if tail := strings.Join(words[i:], " "); reads(tail) {
			return tail
		}
	}
	for _, p := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-\u2013\u2014:;()|/_", r) }) {
		if p = strings.TrimSpace(p); reads(p) {
			return p
		}
	}
	return ""
}

// spare sets aside a sheet that looks like movements and lacks most of them
// where another sheet of the file holds whole ones: a key to codes, a summary.
func (f *Found) spare() {
	whole := slices.ContainsFunc(f.Tables, func(t *Table) bool { return t.Kind == casebook.MovementKind && t.wholeness() >= 3 })
	if !whole {
		return
	}
	f.Tables = slices.DeleteFunc(f.Tables, func(t *Table) bool {
		list := (t.Kind == casebook.CaseKind || t.Kind == casebook.CourseKind) && t.repeatsItsKeys() && recordRows(t.Sheet, t.Body) >= fewestRows
		spare := t.Kind == casebook.MovementKind && t.wholeness() <= 1
		if t.declared || !list && !spare || f.askLeftOut(t.Sheet, t.Body) {
			return false
		}
		f.Skipped = append(f.Skipped, t.Sheet.Name)
		f.Problems = slices.DeleteFunc(f.Problems, func(p casebook.Problem) bool { return p.Sheet == t.Sheet.Name })
		f.add(rules.SheetSkipped, t.Sheet, "the sheet names no teeth and no amounts; it was read as a key or a summary")
		return true
	})
	f.askSummaries()
}

// wholeness counts what a table of movements has of tooth, planned, achieved and
// the movement.
func (t *Table) wholeness() int {
	n := 0
	for _, fields := range [][]columns.Field{
		{columns.Tooth},
		{columns.Planned, columns.TargetPosition},
		{columns.Achieved, columns.EndPosition, columns.Residual, columns.StatedPercent},
		{columns.Axis, columns.Direction},
	} {
		if len(t.Pairs) > 0 || slices.ContainsFunc(fields, t.Has) {
			n++
		}
	}
	return n
}
