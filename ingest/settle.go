package ingest

import (
	"cmp"
	"slices"
	"strconv"

	"shortfall/ingest/casebook"
	"shortfall/ingest/firsts"
	"shortfall/ingest/layout"
	"shortfall/ingest/rules"
)

// settled turns rows into records: it settles keys given twice, keeps what is
// accepted and what is rejected, and counts.
type settled struct {
	*reader
	cases     keys[casebook.CaseKey, casebook.Case]
	courses   keys[casebook.CourseKey, casebook.Course]
	movements *firsts.Index[casebook.MovementKey, casebook.CaseKey]
	repeats   keys[casebook.MovementKey, casebook.Repeat]
	flat      map[casebook.CourseKey]*flatCourse
	order     []casebook.Record[casebook.Case] // cases of flat rows, by first accepted row
	listed    map[casebook.CaseKey]bool
	rows      []*row // that are being settled
	kept      int    // movements of rows that were accepted
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
		repeats: keys[casebook.MovementKey, casebook.Repeat]{},
		flat:    map[casebook.CourseKey]*flatCourse{}, listed: map[casebook.CaseKey]bool{},
	}
}

// claim notes a key; given twice, the second row is refused, and the first too
// where the two differ.
func claim[K, V comparable](s *settled, known keys[K, V], k K, v V, r *row, id rules.ID) {
	f, twice := known[k]
	if !twice {
		known[k] = first[V]{r, v}
		return
	}
	s.again(f.row, r, f.value == v, sameKey, id)
}

// claimMovement is claim for a movement of the batch.
func (s *settled) claimMovement(i int, r *row) {
	if f := s.movements.Add(i); f != i {
		a, b := s.batch.Movements[f].Value, s.batch.Movements[i].Value
		other := sameKey
		if a.Planned*b.Planned < 0 {
			other = "a movement of the same tooth the other way along its axis, of which a course holds one,"
		}
		s.again(rowOf(s.rows, f), r, a == b, other, rules.MovementDuplicate)
	}
}

// sameKey names a record in the place of another.
const sameKey = "a different record with the same key"

// again refuses a row whose key another row has; other names what that one holds.
func (s *settled) again(first, r *row, equal bool, other string, id rules.ID) {
	if equal && first != r {
		s.refuse(r, id, "the same record stands in row "+place(first, r))
		return
	}
	s.refuse(r, id, other+" stands in row "+place(first, r))
	if first != r && !slices.ContainsFunc(first.errors(), func(p casebook.Problem) bool { return p.Rule == string(id) }) {
		s.refuse(first, id, other+" stands in row "+place(r, first))
	}
}

// movementIndex finds movements of the batch by their key.
func (r *reader) movementIndex() *firsts.Index[casebook.MovementKey, casebook.CaseKey] {
	return firsts.Of(func(i int) casebook.MovementKey { return r.batch.Movements[i].Value.Key() }, casebook.MovementKey.Split)
}

// rowOf finds the row that gave a movement of the batch.
func rowOf(rows []*row, movement int) *row {
	i, _ := slices.BinarySearchFunc(rows, int32(movement), func(r *row, n int32) int { return cmp.Compare(r.first+r.moves, n+1) })
	return rows[i]
}

// place names the row of another record, and its sheet where that differs.
func place(of, from *row) string {
	s := strconv.Itoa(int(of.number))
	if of.t.Sheet.Name != from.t.Sheet.Name {
		s += " of sheet " + of.t.Sheet.Name
	}
	return s
}

func (s *settled) refuse(r *row, id rules.ID, message string) {
	p := rules.New(id, "%s", message)
	p.File, p.Sheet, p.Row = s.Book.File.Name, r.t.Sheet.Name, int(r.number)
	r.add(p)
}

// settle checks the keys of all rows of a kind, then accepts or rejects each and counts it.
func (s *settled) settle(rows []*row, counts map[string]casebook.SheetCounts) {
	s.rows, s.movements = rows, s.movementIndex()
	for _, r := range rows {
		s.claims(r.t, r)
	}
	s.forget()
	for len(rows) > 0 {
		t := rows[0].t
		c := counts[t.Sheet.Name]
		n := 0
		for n < len(rows) && rows[n].t == t {
			s.accept(rows[n], &c)
			rows[n] = nil // a million of them take as much memory as half of their records
			n++
		}
		counts[t.Sheet.Name], rows = c, rows[n:]
	}
	s.batch.Movements = s.batch.Movements[:s.kept]
}

// forget gives up what only the claims of these rows needed.
func (s *settled) forget() {
	s.rows, s.movements = nil, nil
	// any order: each of them is emptied
	for _, c := range s.flat {
		c.row = nil
	}
}

// accept takes the records of a row, or the row with what is wrong with it.
func (s *settled) accept(r *row, c *casebook.SheetCounts) {
	if len(r.errors()) > 0 {
		c.Rejected++
		s.batch.Rejected = append(s.batch.Rejected, casebook.Rejected{
			Kind: r.t.Kind, Source: r.source(), Original: r.original, Reasons: r.errors(),
		})
		s.batch.Problems = append(s.batch.Problems, r.errors()...)
		for _, m := range s.movementsOf(r) {
			s.refuseMovement(m.Value.Key())
		}
	} else {
		c.Accepted++
		s.emit(r.t, r)
	}
	for _, k := range s.refused[r] {
		s.refuseMovement(k)
	}
}

// refuseMovement notes a movement that is not taken, where its key could be read.
func (s *settled) refuseMovement(k casebook.MovementKey) {
	if k.Case.ID != "" && k.Course > 0 && k.Tooth != 0 && k.Axis != casebook.NoAxis {
		s.batch.RefusedMovements = append(s.batch.RefusedMovements, k)
	}
}

// claims checks the keys of a row that is good so far.
func (s *settled) claims(t *layout.Table, r *row) {
	if t.Kind == casebook.MovementKind {
		for _, c := range r.courses {
			s.knowCourse(r, c)
		}
	}
	if len(r.errors()) > 0 {
		return
	}
	switch t.Kind {
	case casebook.CaseKind:
		claim(s, s.cases, r.caseOf.Key(), *r.caseOf, r, rules.CaseDuplicate)
	case casebook.CourseKind:
		claim(s, s.courses, r.courses[0].Key(), r.courses[0], r, rules.CourseDuplicate)
	case casebook.MovementKind:
		for i := range r.moves {
			if !s.once {
				s.claimMovement(int(r.first+i), r)
			}
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
		s.kept += copy(b.Movements[s.kept:], s.movementsOf(r)) // in the place of what was rejected
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
		s.courses[k] = first[casebook.Course]{value: c}
		s.batch.Courses = append(s.batch.Courses, rec(s.flat[k].value, r))
	}
}

// emitCases gives the cases of flat rows with all that the file says about them.
func (s *settled) emitCases() {
	s.batch.Cases = slices.Grow(s.batch.Cases, len(s.order))
	for _, c := range s.order {
		c.Value = s.reader.cases[c.Value.Key()].value
		s.batch.Cases = append(s.batch.Cases, c)
	}
}

func rec[T any](v T, r *row) casebook.Record[T] {
	return casebook.Record[T]{Value: v, Source: r.source(), Original: r.original}
}
