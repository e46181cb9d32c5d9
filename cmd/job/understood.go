package job

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Understanding is what was read in a file, in plain words: sheets, columns that
// were recognised, courses, styles, and three movements.
type Understanding struct {
	Sheets      []string
	Said        []string // what was assumed or answered
	Unread      []string // columns with cells of which nothing is kept, since no field has their header
	Movements   string
	Attachments string // "" without movements
	Outcomes    string // how many have none; "" without movements
	Cases       string // by status; "" without a list of cases
	Examples    []string
}

// Understood puts a batch into words.
func Understood(b *casebook.Batch) (u Understanding) {
	for _, s := range b.Sheets {
		u.Sheets = append(u.Sheets, fmt.Sprintf("sheet %s: %s", s.Sheet, CountsText(s.Counts)))
	}
	for _, p := range b.Problems {
		switch rules.ID(p.Rule) {
		case rules.ColumnUnread:
			name := p.Column
			if name == "" {
				name = strings.TrimRight(p.Cell, "0123456789")
			}
			if !slices.Contains(u.Unread, name) {
				u.Unread = append(u.Unread, name)
			}
		case rules.ColumnAssumed, rules.LayoutAssumed, rules.NotationAssumed, rules.QuestionAnswered, rules.CourseAssumed, rules.StyleNotFound:
			where := ""
			if p.Column != "" {
				where = fmt.Sprintf(" (%s)", p.Column)
			}
			u.Said = append(u.Said, p.Message+where)
		}
	}
	u.Cases = casesInWords(b.Cases)
	courses, styles, outcomes := map[string]int{}, map[string]int{}, map[string]int{}
	for _, m := range b.Movements {
		outcomes[outcomeName(m.Value)]++
		courses[courseName(m.Value.Course)]++
		styles[styleName(m.Value.Style)]++
	}
	if len(b.Movements) == 0 {
		u.Movements = Plural(len(b.Cases), "case") + ", no movements"
		for _, c := range b.Cases[:min(3, len(b.Cases))] {
			u.Examples = append(u.Examples, caseInWords(c))
		}
		return u
	}
	u.Movements = Plural(len(b.Movements), "movement") + ": " + tally(courses)
	u.Attachments = "attachments: " + tally(styles)
	u.Outcomes = "outcomes: " + tally(outcomes)
	for _, m := range b.Movements[:min(3, len(b.Movements))] {
		u.Examples = append(u.Examples, inWords(m, b.Notation))
	}
	return u
}

func courseName(n int) string {
	if n == 1 {
		return "initial"
	}
	return fmt.Sprintf("refinement %d", n-1)
}

func styleName(s casebook.Style) string {
	if s == casebook.NoStyle {
		return "not recorded"
	}
	return s.String()
}

// outcomeName tells movements with an outcome from those without.
func outcomeName(m casebook.Movement) string {
	if m.Achieved.OK || m.StatedPercent.OK {
		return "measured"
	}
	return "not measured"
}

// casesInWords counts cases by status, where any has one.
func casesInWords(cases []casebook.Record[casebook.Case]) string {
	statuses, any := map[string]int{}, false
	for _, c := range cases {
		statuses[statusName(c.Value)]++
		any = any || c.Value.Status != casebook.NoStatus || c.Value.Own.Status != ""
	}
	if !any {
		return ""
	}
	return "cases: " + tally(statuses)
}

func statusName(c casebook.Case) string {
	switch {
	case c.Status != casebook.NoStatus:
		return c.Status.String()
	case c.Own.Status != "":
		return c.Own.Status
	}
	return "status not recorded"
}

// caseInWords writes one case of a list of cases.
func caseInWords(r casebook.Record[casebook.Case]) string {
	c := r.Value
	out := fmt.Sprintf("row %d: case %s", r.Source.Row, c.ID)
	if c.Start != 0 {
		out += ", from " + c.Start.String()
	}
	if c.End != 0 {
		out += " to " + c.End.String()
	}
	out += ", " + statusName(c)
	if c.StatedRefinements.OK {
		out += ", " + Plural(c.StatedRefinements.Value, "refinement")
	}
	return out
}

// tally writes "initial 12, refinement 1 5", in order of the words.
func tally(counts map[string]int) string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		out = append(out, fmt.Sprintf("%s %d", k, counts[k]))
	}
	return strings.Join(out, ", ")
}

// inWords writes one movement as a sentence, the tooth as the file writes it.
func inWords(r casebook.Record[casebook.Movement], n casebook.Notation) string {
	m := r.Value
	what := m.Axis.String()
	if d := m.Direction(); d != casebook.NoDirection && !m.SizeOnly {
		what = d.String() // and the size along it: a minus would read as the opposite
		m.Planned *= d.Sign()
		m.Achieved.Value = m.Achieved.Value*d.Sign() + 0 // no -0
	}
	outcome := "not measured"
	if m.Achieved.OK {
		outcome = fmt.Sprintf("%.6g %s achieved", m.Achieved.Value, m.Axis.Unit())
	} else if m.StatedPercent.OK {
		outcome = fmt.Sprintf("%.6g %% stated", m.StatedPercent.Value)
	}
	return fmt.Sprintf("row %d: tooth %s, %s course, %s %.6g %s planned, %s, attachment %s",
		r.Source.Row, toothIn(m.Tooth, n), courseName(m.Course), what, m.Planned, m.Axis.Unit(), outcome, styleName(m.Style))
}

// toothIn writes a tooth in a notation, and as FDI too where that is another one.
func toothIn(t casebook.Tooth, n casebook.Notation) string {
	if n == casebook.NoNotation || n == casebook.FDI {
		return t.String()
	}
	return fmt.Sprintf("%s (FDI %s)", t.In(n), t)
}
