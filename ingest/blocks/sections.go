package blocks

import (
	"fmt"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// section is a stretch of records below one header, or below a title that says a course.
type section struct {
	of     string // the case that titles state
	course bool   // titles say the course
	arch   bool   // the title above says the jaw, which tells two tables of one course apart
}

// begin notes a section. The loose text above its header is its course where it says one,
// and else what stands for it where courses are to be told: a question is asked about it.
func (k *stack) begin(number int) {
	s := section{}
	for _, l := range k.said {
		switch l.field {
		case columns.Case:
			s.of = l.cell.Text
		case columns.Course:
			s.course = true
		}
	}
	title := k.title
	k.title = cell{}
	of := lexicon.Of(lexicon.Tokens(title.Text))
	s.arch = of[lexicon.Upper] || of[lexicon.Lower]
	n, said := values.CourseSaid(title.Text)
	if said = said && !s.course; said && n > 0 {
		title.Text = courseWord(n)
	}
	if k.untold = title; title.Text == "" {
		k.untold = cell{sheet.Cell{Kind: sheet.String, Text: fmt.Sprintf("table %d of the sheet", len(k.sections)+1)}, place{nil, number, 1}}
	}
	if said {
		s.course = true
		k.said = append(k.said, label{columns.Course, "", title})
	}
	k.sections = append(k.sections, s)
}

func courseWord(n int) string {
	if n == 1 {
		return "initial"
	}
	return fmt.Sprint("refinement ", n-1)
}

// byCourse reports sections that are told apart by their courses: a title says one, or
// the header is there again and nothing else tells its records from those above.
func (k *stack) byCourse() bool {
	if len(k.sections) < 2 || k.names(columns.Course) {
		return false
	}
	alike := !k.names(columns.Case)
	for _, s := range k.sections {
		if s.course {
			return true
		}
		alike = alike && !s.arch && s.of == k.sections[0].of
	}
	return alike
}

// goesOn gives what a group of titles without a case states for the case of the group
// before: nothing where it is a form of its own, which states more than a course.
func (k *stack) goesOn(ls []label) ([]label, bool) {
	out := slices.Clone(ls)
	for i := range out {
		switch l := &out[i]; l.field {
		case columns.StartMonth: // beside a course it is that of the course
			l.field = columns.CourseStart
		case columns.EndMonth:
			l.field, l.name = columns.NoField, "course ends"
		}
	}
	if len(ofCase(out)) > 0 {
		return nil, false
	}
	return out, true
}

// ofCase are the labels that hold for all tables of a case, of whatever course.
func ofCase(said []label) []label {
	return slices.DeleteFunc(slices.Clone(said), func(l label) bool {
		_, ok := columns.Find(casebook.CaseKind, l.field)
		return !ok && l.field != columns.Practice && l.field != columns.Age
	})
}
