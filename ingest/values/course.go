package values

import (
	"strconv"
	"strings"

	"shortfall/ingest/lexicon"
	"shortfall/ingest/rules"
)

// ParseCourse reads 1, "initial", "R1", "refinement 2", "course 3".
func ParseCourse(s string) (int, error) { return course(s) }

var course = remembered(func(s string) (int, error) {
	if strings.HasPrefix(tidy(s), "-") {
		return 0, fail(rules.CourseUnknown, "the cell is no course number")
	}
	t := Key(s)
	if whole, ok := strings.CutSuffix(t, " 0"); ok && strings.Trim(whole, "0123456789") == "" {
		t = whole // "2.0"
	}
	switch t {
	case "initial", "init", "initial course", "first course", "first":
		return 1, nil
	case "refinement", "ref", "r":
		return 0, fail(rules.CourseUnknown, "the refinement has no number")
	}
	add := 0
	for _, prefix := range []string{"refinement no", "refinement", "ref", "r"} {
		if rest, ok := strings.CutPrefix(t, prefix); ok {
			t, add = strings.TrimSpace(rest), 1
			break
		}
	}
	if add == 0 {
		for _, prefix := range []string{"course no", "course", "c"} {
			if rest, ok := strings.CutPrefix(t, prefix); ok {
				t = strings.TrimSpace(rest)
				break
			}
		}
	}
	n, err := strconv.Atoi(ordinal(t))
	if err == nil && n+add >= 1 && n+add <= 50 {
		return n + add, nil
	}
	if c, ok := CourseByWords(s); ok && c > 0 {
		return c, nil
	}
	return 0, fail(rules.CourseUnknown, "the cell is no course number")
})

// ordinal takes the ending off a number of order as English writes it: "2nd". Elsewhere
// its endings are too much like other words.
func ordinal(s string) string {
	if whole := strings.TrimRight(s, "stndrh"); len(s) == len(whole)+2 && strings.Trim(whole, "0123456789") == "" {
		return whole
	}
	return s
}

// CourseByWords reads a course in the languages of the lexicon: "Erstserie",
// "2e finition", "korekta 1". It is 0 where the text names a refinement without
// its number, and ok is false where it names no course at all. Other words may
// stand beside it where loose text is read, as in the name of a sheet.
func CourseByWords(s string) (number int, ok bool) {
	initial, refinement, course, n := false, false, false, -1
	for _, t := range lexicon.Tokens(s) {
		digits := strings.TrimRight(t.Text, "stndrhegaoª.")
		order, ordered := Ordinal(t.Text)
		v, err := strconv.Atoi(digits)
		switch {
		case t.Concept == lexicon.Start:
			initial = true
		case t.Concept == lexicon.Refinement, t.Concept == lexicon.Refinements:
			refinement = true
		case t.Concept == lexicon.Course:
			course = true
		case shortRefinement(t.Text) > 0:
			refinement, n = true, shortRefinement(t.Text)
		case t.Concept == lexicon.First && n < 0:
			n = 1
		case t.Concept == lexicon.Second && n < 0:
			n = 2
		case err == nil && n < 0:
			n = v
		case ordered && n < 0:
			n = order
		case t.Concept == lexicon.Number, t.Concept == lexicon.Filler, t.Concept == lexicon.Aligner, t.Concept == lexicon.Planned:
		default:
			return 0, false
		}
	}
	switch {
	case n > 49:
		return 0, false
	case initial && !refinement && n <= 1:
		return 1, true
	case refinement && !initial && n >= 0:
		return n + 1, true
	case refinement && !initial:
		return 0, true
	case course && !initial && n >= 1:
		return n, true
	}
	return 0, false
}

// shortRefinement reads "r1".
func shortRefinement(w string) int {
	if len(w) == 2 && w[0] == 'r' && w[1] >= '1' && w[1] <= '9' {
		return int(w[1] - '0')
	}
	return 0
}

// CourseSaid reads a course out of a loose text: the whole of it, or a part
// between dashes, colons, commas or brackets. It is 0 for a refinement without a
// number, and ok is false where no course is said.
func CourseSaid(text string) (n int, ok bool) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-\u2013\u2014:;,()|/_", r) })
	for _, p := range append([]string{text}, parts...) {
		if n, ok := CourseByWords(p); ok {
			return n, true
		}
		if isShortCorrection(p) {
			return 0, true
		}
	}
	return 0, false
}

// isShortCorrection reports the usual abbreviation of a mid-course correction
// (common practice, no source).
func isShortCorrection(s string) bool {
	k := Key(s)
	return k == "mc" || k == "mcc"
}
