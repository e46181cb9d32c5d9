package decide

import (
	"fmt"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Numbering says how the course column of a table counts.
type Numbering struct {
	given   bool // the header says which number the initial course has
	add     int  // courses from 0, or numbers of refinements: one more
	Initial bool // a blank cell is the initial course
	yesNo   bool // yes is the first refinement
}

// counts of what a course column holds.
type courseCells struct {
	numbers, zeros, named, yes, no, blank int
}

func (r *File) courseCells(t *layout.Table, col int) courseCells {
	var c courseCells
	rows := wanted(t, func(row sheet.Row) bool { return row.Number >= t.Body && !row.Broken && row.Len() >= 2 })
	for _, s := range distinct(t, col, rows) {
		text := strings.TrimSuffix(strings.TrimSpace(inFigures(s.cell.Text)), ".0")
		yes, err := values.ParseYesNo(text)
		switch {
		case s.cell.Kind == sheet.Blank:
			c.blank += s.n
		case text == "0":
			c.zeros += s.n
		case strings.Trim(text, "0123456789") == "":
			c.numbers += s.n
		case err == nil && yes:
			c.yes += s.n
		case err == nil:
			c.no += s.n
		default:
			c.named += s.n
		}
	}
	return c
}

// decideCourses settles which course each row belongs to, where the column of
// courses counts from 0 or counts refinements, or there is none.
func (r *File) decideCourses(out *[]casebook.Problem) {
	var open []*layout.Table
	for _, t := range r.Tables {
		if t.CourseOpen {
			open = append(open, t)
			continue
		}
		col := t.Find(columns.Course)
		if col == 0 {
			continue
		}
		c, _ := t.ColumnAt(col)
		p := r.Plans[t]
		p.Course = r.numberingOf(t, c, r.courseCells(t, col), out)
		r.Plans[t] = p
	}
	r.askCourseWords()
	r.askCourse(open, out)
}

func (r *File) numberingOf(t *layout.Table, c layout.Column, n courseCells, out *[]casebook.Problem) Numbering {
	say := func(text string) {
		p := inSheet(t, rules.New(rules.LayoutAssumed, "%s", text))
		p.Cell, p.Column = sheet.Ref(t.Header, c.Col), c.Text
		*out = append(*out, p)
	}
	if c.First.OK && n.numbers+n.zeros > 0 {
		return Numbering{add: 1 - c.First.Value, given: true}
	}
	switch {
	case n.zeros > 0:
		say("courses are counted from 0: 0 is the initial course, 1 the first refinement")
		return Numbering{add: 1}
	case c.AfterRefinement && n.yes > 0 && n.named == 0 && n.numbers == 0:
		return r.askYesCourse(t, c)
	case c.AfterRefinement && n.no > 0 && n.named == 0 && n.numbers == 0:
		say("every row says that it belongs to no refinement, and was read as the initial course")
		return Numbering{yesNo: true, Initial: true}
	case c.AfterRefinement && n.numbers > 0 && n.named == 0:
		return r.askNumbering(t, c, n)
	case c.AfterRefinement && n.blank > 0 && n.named > 0:
		say("a blank cell of the column was read as the initial course")
		return Numbering{Initial: true}
	}
	return Numbering{}
}

func (r *File) askYesCourse(t *layout.Table, c layout.Column) Numbering {
	r.Asker.Ask(question.Question{
		ID: "course numbers", Sheet: t.Sheet.Name, Cell: sheet.Ref(t.Header, c.Col), Column: c.Text,
		Text:     "the column says only whether a row belongs to a refinement: is it the first refinement?",
		Choices:  []question.Choice{{Word: "first", Text: "yes is the first refinement, no the initial course"}},
		Proposed: "first",
	})
	return Numbering{yesNo: true, Initial: true}
}

func (r *File) askNumbering(t *layout.Table, c layout.Column, n courseCells) Numbering {
	text := "the column is named after refinements and holds no 0: is 1 the first refinement, or the initial course?"
	if n.blank > 0 {
		text = "the column is named after refinements: is 1 the first refinement and a blank the initial course, or is 1 the initial course?"
	}
	word := r.Asker.Ask(question.Question{
		ID: "course numbers", Sheet: t.Sheet.Name, Cell: sheet.Ref(t.Header, c.Col), Column: c.Text, Text: text,
		Choices: []question.Choice{
			{Word: "refinements", Text: "1 is the first refinement, a blank the initial course", Count: n.numbers},
			{Word: "courses", Text: "1 is the initial course, 2 the first refinement", Count: n.numbers},
		},
		Proposed: "refinements",
	})
	if word == "courses" {
		return Numbering{}
	}
	return Numbering{add: 1, Initial: true}
}

// askCourse asks to which course the tables belong that say nothing about it.
func (r *File) askCourse(open []*layout.Table, out *[]casebook.Problem) {
	if len(open) == 0 {
		return
	}
	q := question.Question{
		ID: "course", Rule: string(rules.CourseAssumed), Sheet: open[0].Sheet.Name,
		Text: "no column, sheet name or title says to which course (set of aligners) the movements belong: are all of the initial course?",
		Choices: []question.Choice{
			{Word: "initial", Text: "all of the initial course"},
			{Word: "refinement 1", Text: "all of the first refinement"},
		},
		Proposed: "initial",
	}
	if len(open) > 1 && r.goOn(open) {
		q.Choices = append(q.Choices, question.Choice{Word: "in order", Text: fmt.Sprintf("%s is the initial course, the next sheet the first refinement, and so on", open[0].Sheet.Name)})
		q.Proposed = ""
	}
	word := r.Asker.Ask(q)
	for i, t := range open {
		switch word {
		case "in order":
			t.Constants[columns.Course] = fmt.Sprint(i + 1)
		case "refinement 1":
			t.Constants[columns.Course] = "2"
		default:
			t.Constants[columns.Course] = "1"
			if word == "initial" {
				*out = append(*out, inSheet(t, rules.New(rules.CourseAssumed, "no column for the course; every row was taken as the initial course")))
			}
		}
	}
}

// goOn reports that every later table has a case of an earlier one: only so can they be
// its further courses, and not those of another season.
func (r *File) goOn(tables []*layout.Table) bool {
	seen := map[string]bool{}
	for i, t := range tables {
		again, here := false, []string(nil)
		col := t.Find(columns.Case)
		r.eachRow(t, func(row sheet.Row) {
			code := values.Key(row.At(col).Text)
			again = again || code != "" && seen[code]
			here = append(here, code)
		})
		for _, code := range here {
			seen[code] = true
		}
		if i > 0 && !again {
			return false
		}
	}
	return true
}

// inFigures writes a number of order as a number: under "refinement" the second is another
// course than under "course", as 2 is.
func inFigures(s string) string {
	if n, ok := values.Ordinal(s); ok {
		return strconv.Itoa(n)
	}
	return s
}

// Parse reads one cell as the numbering of the column says.
func (n Numbering) Parse(s string) (int, error) {
	s = inFigures(s)
	if yes, err := values.ParseYesNo(s); n.yesNo && err == nil {
		if yes {
			return 2, nil
		}
		return 1, nil
	}
	if count, err := values.ParseCount(s); (n.add > 0 || n.given) && err == nil && count < 50 && count+n.add > 0 {
		return count + n.add, nil
	}
	return values.ParseCourse(s)
}
