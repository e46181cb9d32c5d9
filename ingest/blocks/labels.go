package blocks

import (
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// stated are the fields that a title or a form can state for all its records, and
// the header they get.
var stated = map[columns.Field]string{
	columns.Case: "case", columns.Course: "course", columns.Clinician: "clinician", columns.Practice: "practice",
	columns.Status: "status", columns.Wear: "wear", columns.StartMonth: "start month", columns.EndMonth: "end month",
	columns.AgeBand: "age band", columns.Style: "attachment style", columns.CourseStart: "course start month",
}

// label is what a title says; one of no stated field keeps the name it has in
// the sheet, and layout reads it as any column.
type label struct {
	field columns.Field
	name  string
	cell  cell
}

// head is the header of the column that a label becomes.
func (l label) head() string {
	if h := stated[l.field]; h != "" {
		return h
	}
	return l.name
}

// mostTitles is how many cells a row of names and values may fill; longer rows
// are records.
const mostTitles = 8

// labels reads a row of titles: "case: A-01", "Case code A-01 – first course", or
// names with their values beside them. It gives nothing unless all of the row
// is understood. In a form, below a row of titles, names of any kind count.
func (in *reader) labels(r sheet.Row, form bool) []label {
	var out []label
	if r.Len() == 0 || r.Len() > mostTitles || r.Cell(0).Kind != sheet.String {
		return nil
	}
	cells := cellsOf(r)
	if _, err := values.ParseCourse(r.Cell(0).Text); err == nil && r.Len() == 1 && !numeric(r.Cell(0)) {
		return []label{{columns.Course, "", cells[0]}} // also where a header is written so
	}
	for i := 0; i < len(cells); i++ {
		c := cells[i]
		if c.Kind != sheet.String {
			return nil
		}
		_, beside := sheet.ValueOf(r, i, in.isLabel)
		if one := in.title(c); one != nil && (!beside || strings.Contains(c.Text, ":")) {
			out = append(out, one...)
			continue
		}
		if !beside {
			return nil
		}
		l, ok := in.pair(c, cells[i+1])
		if !ok || !form && len(out) == 0 && stated[l.field] == "" {
			return nil
		}
		out = append(out, l)
		i++
	}
	return out
}

func (in *reader) isLabel(text string) bool { return in.named(text) != columns.NoField }

// pair reads a name with its value beside it. A word that names an amount names
// a month or an ending where the value is one.
func (in *reader) pair(name, value cell) (label, bool) {
	s := strings.TrimRight(text(name.Cell), ": ")
	f, v := in.named(s), text(value.Cell)
	_, isStatus := values.ParseStatus(v)
	_, isCourse := values.ParseCourse(v)
	_, dayFirst := values.ParseMonth(v, values.DayFirst)
	_, monthFirst := values.ParseMonth(v, values.MonthFirst)
	month := value.Kind == sheet.Date || dayFirst == nil || monthFirst == nil
	switch {
	case (f == columns.Achieved || f == columns.Status || f == columns.NoField && plainWords(s)) && isStatus == nil:
		f = columns.Status
	case f == columns.StartPosition && month:
		f = columns.StartMonth
	case (f == columns.EndPosition || f == columns.Achieved) && month:
		f = columns.EndMonth
	case f == columns.Tooth, f == columns.Axis, f == columns.Planned, f == columns.Achieved, f == columns.Direction, f == columns.Style:
		return label{}, false // a header
	case value.Kind == sheet.String && in.named(v) != columns.NoField && !(f == columns.Course && isCourse == nil):
		return label{}, false
	}
	return label{f, s, value}, true
}

// title reads one cell whose parts are all labels with values, or courses.
func (in *reader) title(c cell) []label {
	var out []label
	if !strings.Contains(c.Text, ":") && in.named(text(c.Cell)) != columns.NoField {
		return nil
	}
	for _, part := range segments(text(c.Cell)) {
		l, ok := in.segment(part)
		if !ok {
			return nil
		}
		l.cell.place = c.place
		out = append(out, l)
	}
	return out
}

// segments splits a title at dashes that stand between blanks, bars and semicolons.
func segments(s string) []string {
	for _, sep := range []string{" \u2013 ", " \u2014 ", " - ", " | ", "; ", " · "} {
		s = strings.ReplaceAll(s, sep, "\x00")
	}
	return strings.Split(s, "\x00")
}

// longestName of a column in words; longer texts are no titles (common practice, no source).
const longestName = 10

// segment reads "case: A-01", "Case code A-01" or "first course".
func (in *reader) segment(s string) (label, bool) {
	s = strings.TrimSpace(s)
	made := func(f columns.Field, v string) (label, bool) {
		v = strings.TrimSpace(v)
		_, ok := stated[f]
		return label{f, "", cell{Cell: sheet.Cell{Kind: sheet.String, Text: v}}}, ok && v != ""
	}
	if name, v, ok := strings.Cut(s, ":"); ok {
		return made(in.named(strings.TrimSpace(name)), v)
	}
	if _, err := values.ParseCourse(s); err == nil && strings.ContainsFunc(s, func(r rune) bool { return r > '9' }) {
		return made(columns.Course, s)
	}
	words := strings.Fields(s)
	for n := min(len(words)-1, longestName); n > 0; n-- {
		f := in.named(strings.Join(words[:n], " "))
		if f == columns.Case || f == columns.Course || f == columns.Clinician || f == columns.Practice {
			return made(f, strings.Join(words[n:], " "))
		}
	}
	return label{}, false
}
