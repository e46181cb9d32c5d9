package decide

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// mostRefinements are offered for a word of the column of courses.
const mostRefinements = 6

// askCourseWords asks which course the words of the column of courses are that cannot be
// read: "1. plan" is the first plan of the treatment or the first draft of one.
func (r *File) askCourseWords() {
	unknown := map[string]int{}
	var at question.Question
	for _, t := range r.Tables {
		col := t.Find(columns.Course)
		if col == 0 || t.CourseOpen {
			continue
		}
		tooth, open := t.Find(columns.Tooth), r.unknownCourses(t, col)
		if len(open) == 0 {
			continue
		}
		r.eachRow(t, func(row sheet.Row) {
			c := row.At(col)
			if !open[c] || tooth > 0 && len(values.Teeth(row.At(tooth).Text)) == 0 {
				return // of no movement: a mean, a header that is repeated
			}
			text := strings.TrimSpace(c.Text)
			if unknown[text]++; at.Cell == "" {
				at.Sheet, at.Cell, at.Column = t.Sheet.Name, sheet.Ref(row.Number, col), t.HeaderOf(col)
			}
		})
	}
	var qs []question.Question
	for _, text := range slices.Sorted(maps.Keys(unknown)) {
		if unknown[text] < rareWord {
			continue // a slip, which costs its row
		}
		q := at
		q.Word, q.Count = shownWord(text, q.Column), unknown[text]
		q.ID, q.Rule = "course "+q.Word, string(rules.CourseUnknown)
		q.Text = fmt.Sprintf("which course is %q (%d times)?", q.Word, q.Count)
		q.Choices, q.Proposed = courseChoices(q.Count), likelyCourse(text)
		qs = append(qs, q)
	}
	r.askGroup(question.Group{ID: "course words", Text: "which courses (sets of aligners) are"}, qs, func(q question.Question, word string) {
		// any order: each word is learnt by itself
		for text := range unknown {
			if shownWord(text, at.Column) == q.Word && word != NotRecorded {
				r.learn(columns.Course, text, word)
			}
		}
	})
}

// unknownCourses are the cells of the column of courses that hold a word which cannot be read.
func (r *File) unknownCourses(t *layout.Table, col int) map[sheet.Cell]bool {
	open := map[sheet.Cell]bool{}
	for _, s := range distinct(t, col, r.records(t)) {
		text := strings.TrimSpace(s.cell.Text)
		if s.cell.Kind != sheet.String || utf8.RuneCountInString(text) < 2 || IsDitto(text) || values.IsMissing(text, r.Missing) {
			continue
		}
		if _, err := r.Plans[t].Course.Parse(r.Meant(columns.Course, text)); err != nil {
			open[s.cell] = true
		}
	}
	return open
}

func courseChoices(n int) []question.Choice {
	out := []question.Choice{{Word: "initial", Text: "the initial course, from the first plan", Count: n}}
	for i := range mostRefinements {
		out = append(out, question.Choice{Word: fmt.Sprint("refinement ", i+1), Text: fmt.Sprintf("the course of refinement %d", i+1), Count: n})
	}
	return append(out, question.Choice{Word: NotRecorded, Text: "none of these, or not known; the rows are left out", Count: n})
}

// extra begin the words for a set of aligners beyond the first ones (common practice, no
// source).
var extra = []string{"ekstra", "extra", "zusatz", "zusätzlich", "additional", "add", "suppl", "adicional", "aggiuntiv", "dodatkow", "nabestelling"}

// likelyCourse is the course that a word with one number in it most likely is, "" where
// nothing is likely.
func likelyCourse(text string) string {
	digits := strings.FieldsFunc(text, func(c rune) bool { return c < '0' || c > '9' })
	folded := lexicon.Fold(text)
	of := lexicon.Of(lexicon.Tokens(text))
	beyond := of[lexicon.Refinement] || of[lexicon.Refinements] || slices.ContainsFunc(extra, func(w string) bool { return strings.HasPrefix(folded, lexicon.Fold(w)) })
	if len(digits) != 1 {
		return ""
	}
	n, err := strconv.Atoi(digits[0])
	switch {
	case err != nil || n < 1 || n > mostRefinements:
		return ""
	case beyond:
		return fmt.Sprint("refinement ", n)
	case n == 1 && (of[lexicon.Planned] || of[lexicon.Course]):
		return "initial"
	case of[lexicon.Planned] || of[lexicon.Course]:
		return fmt.Sprint("refinement ", n-1)
	}
	return ""
}
