package layout

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// titles gives the loose texts above a header.
func titles(s *sheet.Sheet, header int) []string {
	var out []string
	for _, r := range s.Rows[:header] {
		for _, c := range r.Cells {
			if c.Kind == sheet.String && len(c.Text) <= 80 {
				out = append(out, c.Text)
			}
		}
	}
	return out
}

// saidCourse reads a course out of a loose text: the whole of it, or a part
// between dashes, colons, commas or brackets. It is 0 for a refinement without a
// number, and ok is false where no course is said.
func saidCourse(text string) (n int, ok bool) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-\u2013\u2014:;,()|/_", r) })
	for _, p := range append([]string{text}, parts...) {
		if n, ok := values.CourseByWords(p); ok {
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
	k := values.Key(s)
	return k == "mc" || k == "mcc"
}

// courseByName takes the course of a table without such a column from the name
// of its sheet or from a title above it. A refinement without a number is the
// first where it is the only one and the initial course stands on another sheet.
func (f *Found) courseByName() {
	var unnumbered []*Table
	initial, numbered := false, false
	for _, t := range f.Tables {
		if t.Kind == casebook.CaseKind || t.Has(columns.Course) || len(t.Pairs) > 0 && t.Pairs[0].Course > 0 {
			continue
		}
		for _, text := range slices.Concat([]string{t.Sheet.Name}, t.titles) {
			n, ok := saidCourse(text)
			if !ok {
				continue
			}
			initial, numbered = initial || n == 1, numbered || n > 1
			if n == 0 {
				unnumbered = append(unnumbered, t)
			} else {
				f.saidIs(t, n)
			}
			break
		}
	}
	if len(unnumbered) == 1 && initial && !numbered {
		f.saidIs(unnumbered[0], 2)
	}
}

func (f *Found) saidIs(t *Table, n int) {
	t.Constants[columns.Course] = fmt.Sprint(n)
	f.add(rules.LayoutAssumed, t.Sheet, "every row was read as course %d, as the name of the sheet or a title says", n)
}
