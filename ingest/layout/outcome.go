package layout

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
)

// takeOutcome notes a header that names an outcome and not of what. Beside other
// words an outcome is an amount: "rotation result".
func (h *Header) takeOutcome(tokens []lexicon.Token) {
	for _, t := range tokens {
		switch t.Concept {
		case lexicon.Outcome:
			h.Outcome = true
		case lexicon.End, lexicon.Filler:
		default:
			asAchieved(tokens)
			h.Outcome = false
			return
		}
	}
}

func asAchieved(tokens []lexicon.Token) {
	for i := range tokens {
		if tokens[i].Concept == lexicon.Outcome {
			tokens[i].Concept = lexicon.Achieved
		}
	}
}

// mostOutcomes are how many words of its own a practice has for how cases end.
const mostOutcomes = 12

// outcome decides of what a column named "outcome" tells: status words are the
// status of the case, amounts are achieved, and a verdict such as "good" is neither.
func (t *Table) outcome(c *Column, p profile) Header {
	for _, f := range []columns.Field{c.Field, c.Alt} {
		verdict := f == columns.Status && t.Kind == casebook.MovementKind && t.variesWithinCase(c.Col, true)
		if !p.shows(f) || verdict {
			continue
		}
		h := c.Header
		h.Field, h.Alt = f, columns.NoField
		return h
	}
	if t.Kind == casebook.CaseKind && p.texts() == p.n && !p.some(p.wears) && len(p.distinct) <= mostOutcomes {
		h := c.Header // in words of the practice's own, which are asked about
		h.Field, h.Alt = columns.Status, columns.NoField
		return h
	}
	return Header{}
}

// hasOutcome reports a column of an outcome among some: where another one says that
// all cases are closed, it may tell which of them were stopped.
func (t *Table) hasOutcome(at []int) bool {
	return slices.ContainsFunc(at, func(i int) bool { return t.Columns[i].Outcome })
}

// refinementsOrCourse: a column named after refinements is the course of each
// row where no other column is, and its values change within a case.
func (t *Table) refinementsOrCourse() {
	at, course := -1, false
	for i, c := range t.Columns {
		switch {
		case c.Field == columns.Refinements && c.Alt == columns.Course && !c.Declared:
			at = i
		case c.Field == columns.Course || c.Course > 0:
			course = true
		}
	}
	if at >= 0 && !course && t.Kind == casebook.MovementKind && t.variesWithinCase(t.Columns[at].Col, false) {
		t.Columns[at].Field = columns.Course
	}
}

// variesWithinCase reports two values of a column in the rows of one case, a blank
// cell being one of them or not; a case that is not written again holds for the rows
// below it.
func (t *Table) variesWithinCase(col int, butBlank bool) bool {
	i := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Field == columns.Case })
	if i < 0 {
		return false
	}
	seen := map[string]string{}
	last := ""
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body {
			continue
		}
		if own := strings.TrimSpace(r.At(t.Columns[i].Col).Text); own != "" {
			last = own
		}
		v := r.At(col).Text
		if butBlank && strings.TrimSpace(v) == "" {
			continue
		}
		if before, ok := seen[last]; ok && before != v {
			return true
		}
		seen[last] = v
	}
	return false
}
