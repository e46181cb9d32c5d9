package ingest

import (
	"slices"
	"strconv"

	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/rules"
)

// settled turns rows into records: it settles keys given twice, keeps what is
// accepted and what is rejected, and counts.
type settled struct {
	*reader
	cases     keys[casebook.CaseKey, casebook.Case]
	courses   keys[casebook.CourseKey, casebook.Course]
	movements keys[casebook.MovementKey, casebook.Movement]
	repeats   keys[casebook.MovementKey, casebook.Repeat]
	flat      map[casebook.CourseKey]*flatCourse
	order     []casebook.Record[casebook.Case] // cases of flat rows, by first accepted row
	listed    map[casebook.CaseKey]bool
}

// keys remembers the first row and value of each key of a kind.
type keys[K comparable, V comparable] map[K]first[V]

type first[V comparable] struct {
	row   *row
	value V
}

// flatCourse is what flat rows say about one course.
type flatCourse struct {
	value casebook.Course
	row   *row
}

func newSettled(r *reader) *settled {
	return &settled{
		reader: r, cases: keys[casebook.CaseKey, casebook.Case]{}, courses: keys[casebook.CourseKey, casebook.Course]{},
		movements: keys[casebook.MovementKey, casebook.Movement]{}, repeats: keys[casebook.MovementKey, casebook.Repeat]{},
		flat: map[casebook.CourseKey]*flatCourse{}, listed: map[casebook.CaseKey]bool{},
	}
}

// claim notes a key; given twice, the second row is refused, and the first too
// where the two differ.
func claim[K, V comparable](s *settled, seen keys[K, V], k K, v V, r *row, id rules.ID) {
	f, twice := seen[k]
	if !twice {
		seen[k] = first[V]{r, v}
		return
	}
	if f.value == v && f.row != r {
		s.refuse(r, id, "the same record stands in row "+place(f.row, r))
		return
	}
	s.refuse(r, id, "a different record with the same key stands in row "+place(f.row, r))
	if f.row != r && !slices.ContainsFunc(f.row.errors, func(p casebook.Problem) bool { return p.Rule == string(id) }) {
		s.refuse(f.row, id, "a different record with the same key stands in row "+place(r, f.row))
	}
}

// place names the row of another record, and its sheet where that differs.
func place(of, from *row) string {
	s := strconv.Itoa(of.source.Row)
	if of.source.Sheet != from.source.Sheet {
		s += " of sheet " + of.source.Sheet
	}
	return s
}

func (s *settled) refuse(r *row, id rules.ID, message string) {
	p := rules.New(id, "%s", message)
	p.File, p.Sheet, p.Row = s.Book.File.Name, r.source.Sheet, r.source.Row
	r.errors = append(r.errors, p)
}

// emitTable accepts or rejects the rows of one table and counts them.
func (s *settled) emitTable(t *layout.Table, rows []*row, c *casebook.SheetCounts) {
	for _, r := range rows {
		if len(r.errors) > 0 {
			c.Rejected++
			s.batch.Rejected = append(s.batch.Rejected, casebook.Rejected{
				Kind: r.kind, Source: r.source, Original: r.original, Reasons: r.errors,
			})
			s.batch.Problems = append(s.batch.Problems, r.errors...)
			continue
		}
		c.Accepted++
		s.emit(t, r)
	}
}

// claims checks the keys of a row that is good so far.
func (s *settled) claims(t *layout.Table, r *row) {
	if t.Kind == casebook.MovementKind {
		for _, c := range r.courses {
			s.knowCourse(r, c)
		}
	}
	if len(r.errors) > 0 {
		return
	}
	switch t.Kind {
	case casebook.CaseKind:
		claim(s, s.cases, r.caseOf.Key(), *r.caseOf, r, rules.CaseDuplicate)
	case casebook.CourseKind:
		claim(s, s.courses, r.courses[0].Key(), r.courses[0], r, rules.CourseDuplicate)
	case casebook.MovementKind:
		for _, m := range r.movements {
			claim(s, s.movements, m.Key(), m, r, rules.MovementDuplicate)
		}
	case casebook.RepeatKind:
		claim(s, s.repeats, r.repeat.Key(), *r.repeat, r, rules.RepeatDuplicate)
	}
}

// knowCourse joins what flat rows say about a course.
func (s *settled) knowCourse(r *row, c casebook.Course) {
	if c.Case.ID == "" || c.Number == 0 {
		return // refused already
	}
	known := s.flat[c.Key()]
	if known == nil {
		s.flat[c.Key()] = &flatCourse{value: c, row: r}
		return
	}
	if differ := mergeCourse(&known.value, c); differ != "" {
		s.refuse(r, rules.CaseConflict, "the row disagrees with row "+place(known.row, r)+" about its course: "+differ)
	}
}

// emit adds the records of an accepted row to the batch.
func (s *settled) emit(t *layout.Table, r *row) {
	b := s.batch
	switch t.Kind {
	case casebook.CaseKind:
		s.listed[r.caseOf.Key()] = true
		b.Cases = append(b.Cases, rec(*r.caseOf, r))
	case casebook.CourseKind:
		b.Courses = append(b.Courses, rec(r.courses[0], r))
	case casebook.RepeatKind:
		b.Repeats = append(b.Repeats, rec(*r.repeat, r))
	case casebook.MovementKind:
		for _, m := range r.movements {
			b.Movements = append(b.Movements, rec(m, r))
		}
		if r.caseOf != nil && !s.listed[r.caseOf.Key()] {
			s.listed[r.caseOf.Key()] = true
			s.order = append(s.order, rec(*r.caseOf, r))
		}
		s.emitCourses(r)
	}
}

// emitCourses gives each course of flat rows once, unless a sheet of courses did.
func (s *settled) emitCourses(r *row) {
	for _, c := range r.courses {
		k := c.Key()
		if _, done := s.courses[k]; done {
			continue
		}
		s.courses[k] = first[casebook.Course]{r, c}
		s.batch.Courses = append(s.batch.Courses, rec(s.flat[k].value, r))
	}
}

// emitCases gives the cases of flat rows with all that the file says about them.
func (s *settled) emitCases() {
	for _, c := range s.order {
		c.Value = s.reader.cases[c.Value.Key()].value
		s.batch.Cases = append(s.batch.Cases, c)
	}
}

func rec[T any](v T, r *row) casebook.Record[T] {
	return casebook.Record[T]{Value: v, Source: r.source, Original: r.original}
}
