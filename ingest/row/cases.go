package row

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// caseInfo is what the rows of a file say about one case.
type caseInfo struct {
	value  casebook.Case
	source casebook.Source // first row that said something
}

// CaseOf is what the rows say of a case that one of them holds.
func (r *File) CaseOf(k casebook.CaseKey) casebook.Case { return r.cases[k].value }

// status of a case as far as the file tells it.
func (r *File) status(k casebook.CaseKey) casebook.Status {
	if c := r.cases[k]; c != nil {
		return c.value.Status
	}
	return casebook.NoStatus
}

// readCase reads the columns of a case; on a sheet of cases the status is required.
func (r *Reader) readCase() {
	k := r.caseKey()
	c := casebook.Case{ID: k.ID, Practice: k.Practice}
	c.Clinician = r.code(columns.Clinician, false)
	c.AgeBand, c.Own.AgeBand = r.ageBand()
	c.Start, c.End = r.month(columns.StartMonth), r.month(columns.EndMonth)
	c.Status, c.Own.Status = r.statusOfRow(c.End)
	c.PlannedAligners = r.count(columns.PlannedAligners)
	c.ChangeDays = r.count(columns.ChangeDays)
	c.Wear, c.Own.Wear = own(r, columns.Wear, values.ParseWear)
	c.StatedRefinements = r.count(columns.Refinements)
	r.plain(casebook.CaseKind, &c)
	if c.Start != 0 && c.End != 0 && c.End < c.Start {
		_, col := r.at(columns.EndMonth)
		r.reject(rules.EndBeforeStart, col, sheet.Date, "the case ends before it starts")
	}
	r.row.Case = &c
}

// statusOfRow reads the status. A sheet of cases must give it, unless what a blank
// means where the case has no end was asked.
func (r *Reader) statusOfRow(end casebook.Month) (casebook.Status, string) {
	if r.t.Unstated != "" {
		return r.unstated(end), ""
	}
	if r.t.Kind == casebook.CaseKind {
		if r.BlankStatus != "" && r.Unended(r.t, r.cells) {
			if r.BlankStatus == decide.UnderWay {
				return casebook.UnderTreatment, ""
			}
			return casebook.NoStatus, ""
		}
		if c, _ := r.at(columns.Status); decide.IsNotRecorded(r.Meant(columns.Status, c.Text)) {
			return casebook.NoStatus, ""
		}
		if _, _, ok := r.need(columns.Status); !ok {
			return casebook.NoStatus, ""
		}
	}
	return own(r, columns.Status, values.ParseStatus)
}

// unstated is the status of a case in a file without a column for it, as answered: on a
// list of cases a blank end says that there is none.
func (r *Reader) unstated(end casebook.Month) casebook.Status {
	c, _ := r.at(columns.EndMonth)
	blank := c.Kind == sheet.Blank || values.IsMissing(c.Text, r.Missing)
	switch {
	case r.t.Unstated == layout.Ended && end != 0, r.t.Unstated == casebook.Completed.String():
		return casebook.Completed
	case r.t.Unstated == layout.Ended && r.t.Kind == casebook.CaseKind && blank:
		return casebook.UnderTreatment
	}
	return casebook.NoStatus
}

// ageBand reads a band, or an age in years, of which only the band is kept.
func (r *Reader) ageBand() (casebook.AgeBand, string) {
	if b, category := own(r, columns.AgeBand, parseAgeBand); b != casebook.NoAgeBand || category != "" {
		return b, category
	}
	c, col, ok := r.usable(columns.Age)
	if !ok {
		return casebook.NoAgeBand, ""
	}
	years, err := values.ParseAge(c.Text)
	if err != nil {
		r.fail(err, col, c)
		return casebook.NoAgeBand, ""
	}
	return casebook.AgeBandOf(years), ""
}

// parseAgeBand reads a band, and an age in years found in its place.
func parseAgeBand(s string) (casebook.AgeBand, error) {
	b, err := values.ParseAgeBand(s)
	if err == nil {
		return b, nil
	}
	if years, e := values.ParseAge(s); e == nil {
		return casebook.AgeBandOf(years), nil
	}
	return b, err
}

// readCourse reads a row of the sheet of courses, or the course columns of a
// flat row.
func (r *Reader) readCourse() {
	key, number := r.caseAndCourse()
	c := casebook.Course{Case: key, Number: number}
	c.Start = r.month(columns.CourseStart)
	c.AlignersPlanned = r.count(columns.AlignersPlanned)
	c.AlignersUsed = r.count(columns.AlignersUsed)
	if r.t.Kind == casebook.CourseKind { // in other tables they speak of the movement
		r.plain(casebook.CourseKind, &c)
	}
	r.row.Courses = append(r.row.Courses, c)
}

// readCourses reads the course of a flat row, or the courses of a wide one
// whose columns name them.
func (r *Reader) readCourses() {
	if len(r.t.Pairs) == 0 || r.t.Pairs[0].Course == 0 {
		r.readCourse()
		return
	}
	for _, m := range r.MovementsOf(r.row) {
		c := casebook.Course{Case: m.Value.Case, Number: m.Value.Course}
		if !slices.Contains(r.row.Courses, c) {
			r.row.Courses = append(r.row.Courses, c)
		}
	}
}

// courseNumber reads the course of the row, or of the pair of a wide sheet.
func (r *Reader) courseNumber() int {
	if r.pair != nil && r.pair.Course > 0 {
		return r.pair.Course
	}
	n := r.plan.Course
	if c, _ := r.at(columns.Course); n.Initial && c.Kind == sheet.Blank {
		return 1
	}
	if _, _, ok := r.need(columns.Course); !ok {
		return 0
	}
	return word(r, columns.Course, n.Parse)
}

// merge adds what a row says about a case to what is known and names the
// columns on which they differ.
func (c *caseInfo) merge(n casebook.Case) string {
	var differ []string
	k := &c.value
	join(&k.Clinician, n.Clinician, "clinician", &differ)
	join(&k.AgeBand, n.AgeBand, "age band", &differ)
	join(&k.Start, n.Start, "start month", &differ)
	join(&k.End, n.End, "end month", &differ)
	join(&k.Status, n.Status, "status", &differ)
	join(&k.PlannedAligners, n.PlannedAligners, "planned aligners", &differ)
	join(&k.ChangeDays, n.ChangeDays, "change interval", &differ)
	join(&k.Wear, n.Wear, "wear", &differ)
	join(&k.Own, n.Own, "words of your own", &differ)
	join(&k.StatedRefinements, n.StatedRefinements, "refinements", &differ)
	differ = append(differ, joinPlain(casebook.CaseKind, k, &n)...)
	return strings.Join(differ, ", ")
}

// MergeCourse adds what a row says about a course to what is known and names the columns
// on which they differ.
func MergeCourse(k *casebook.Course, n casebook.Course) string {
	var differ []string
	join(&k.Start, n.Start, "course start month", &differ)
	join(&k.AlignersPlanned, n.AlignersPlanned, "aligners planned", &differ)
	join(&k.AlignersUsed, n.AlignersUsed, "aligners used", &differ)
	differ = append(differ, joinPlain(casebook.CourseKind, k, &n)...)
	return strings.Join(differ, ", ")
}

// joinPlain joins the columns of plain words of two records, given as pointers.
func joinPlain(k casebook.Kind, known, n any) (differ []string) {
	for _, d := range columns.Plain(k) {
		word := d.Place(known).String()
		join(&word, d.Place(n).String(), d.Field.String(), &differ)
		if err := d.Place(known).UnmarshalText([]byte(word)); err != nil {
			panic(err) // a word of the vocabulary itself
		}
	}
	return differ
}

// join fills a blank, agrees with an equal value and notes a different one.
func join[T comparable](known *T, n T, name string, differ *[]string) {
	var blank T
	switch {
	case n == blank || n == *known:
	case *known == blank:
		*known = n
	default:
		*differ = append(*differ, name)
	}
}

// StatesCourse reports columns that describe the course itself.
func StatesCourse(t *layout.Table) bool {
	return t.Has(columns.CourseStart) || t.Has(columns.AlignersPlanned) || t.Has(columns.AlignersUsed)
}
