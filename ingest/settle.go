package ingest

import (
	"cmp"
	"slices"
	"strconv"

	"shortfall/ingest/casebook"
	"shortfall/ingest/firsts"
	"shortfall/ingest/layout"
	"shortfall/ingest/row"
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
	// claimed and emitted are what the last row said, of which its case and its courses need
	// no second look: rows that say the same follow one another.
	claimed, emitted *row.Said
	rows             []*row.Row // that are being settled
	kept             int        // movements of rows that were accepted
}

// keys remembers the first row and value of each key of a kind.
type keys[K comparable, V comparable] map[K]first[V]

type first[V comparable] struct {
	row   *row.Row
	value V
}

// flatCourse is what flat rows say about one course.
type flatCourse struct {
	value casebook.Course
	row   *row.Row
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
func claim[K, V comparable](s *settled, known keys[K, V], k K, v V, r *row.Row, id rules.ID) {
	f, twice := known[k]
	if !twice {
		known[k] = first[V]{r, v}
		return
	}
	s.again(f.row, r, f.value == v, sameKey, id)
}

// claimMovement is claim for a movement of the batch.
func (s *settled) claimMovement(i int, r *row.Row) {
	if f := s.movements.Add(i); f != i {
		a, b := s.Batch.Movements[f].Value, s.Batch.Movements[i].Value
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
func (s *settled) again(first, r *row.Row, equal bool, other string, id rules.ID) {
	if equal && first != r {
		s.refuse(r, id, "the same record stands in row "+place(first, r))
		return
	}
	s.refuse(r, id, other+" stands in row "+place(first, r))
	if first != r && !slices.ContainsFunc(first.Errors(), func(p casebook.Problem) bool { return p.Rule == string(id) }) {
		s.refuse(first, id, other+" stands in row "+place(r, first))
	}
}

// movementIndex finds movements of the batch by their key.
func (r *reader) movementIndex() *firsts.Index[casebook.MovementKey, casebook.CaseKey] {
	return firsts.Of(func(i int) casebook.MovementKey { return r.Batch.Movements[i].Value.Key() }, casebook.MovementKey.Split)
}

// rowOf finds the row that gave a movement of the batch.
func rowOf(rows []*row.Row, movement int) *row.Row {
	i, _ := slices.BinarySearchFunc(rows, int32(movement), func(r *row.Row, n int32) int { return cmp.Compare(r.First+r.Moves, n+1) })
	return rows[i]
}

// place names the row of another record, and its sheet where that differs.
func place(of, from *row.Row) string {
	s := strconv.Itoa(int(of.Number))
	if of.Table.Sheet.Name != from.Table.Sheet.Name {
		s += " of sheet " + of.Table.Sheet.Name
	}
	return s
}

func (s *settled) refuse(r *row.Row, id rules.ID, message string) {
	p := rules.New(id, "%s", message)
	p.File, p.Sheet, p.Row = s.Book.File.Name, r.Table.Sheet.Name, int(r.Number)
	r.Add(p)
}

// settle checks the keys of all rows of a kind, then accepts or rejects each and counts it.
func (s *settled) settle(rows []*row.Row, counts map[string]casebook.SheetCounts) {
	s.rows, s.movements = rows, s.movementIndex()
	for _, r := range rows {
		s.claims(r.Table, r)
	}
	s.forget()
	for len(rows) > 0 {
		t := rows[0].Table
		c := counts[t.Sheet.Name]
		n := 0
		for n < len(rows) && rows[n].Table == t {
			s.accept(rows[n], &c)
			rows[n] = nil // a million of them take as much memory as half of their records
			n++
		}
		counts[t.Sheet.Name], rows = c, rows[n:]
	}
	s.Batch.Movements = s.Batch.Movements[:s.kept]
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
func (s *settled) accept(r *row.Row, c *casebook.SheetCounts) {
	if len(r.Errors()) > 0 {
		c.Rejected++
		s.Batch.Rejected = append(s.Batch.Rejected, casebook.Rejected{
			Kind: r.Table.Kind, Source: r.Source(), Original: r.Original, Reasons: r.Errors(),
		})
		s.Batch.Problems = append(s.Batch.Problems, r.Errors()...)
		for _, m := range s.MovementsOf(r) {
			s.refuseMovement(m.Value.Key())
		}
	} else {
		c.Accepted++
		s.emit(r.Table, r)
	}
	for _, k := range s.Refused[r] {
		s.refuseMovement(k)
	}
}

// refuseMovement notes a movement that is not taken, where its key could be read.
func (s *settled) refuseMovement(k casebook.MovementKey) {
	if k.Case.ID != "" && k.Course > 0 && k.Tooth != 0 && k.Axis != casebook.NoAxis {
		s.Batch.RefusedMovements = append(s.Batch.RefusedMovements, k)
	}
}

// claims checks the keys of a row that is good so far.
func (s *settled) claims(t *layout.Table, r *row.Row) {
	if t.Kind == casebook.MovementKind && r.Said != s.claimed {
		agrees := true
		for _, c := range r.Courses {
			agrees = s.knowCourse(r, c) && agrees
		}
		if s.claimed = nil; agrees {
			s.claimed = r.Said
		}
	}
	if len(r.Errors()) > 0 {
		return
	}
	switch t.Kind {
	case casebook.CaseKind:
		claim(s, s.cases, r.Case.Key(), *r.Case, r, rules.CaseDuplicate)
	case casebook.CourseKind:
		claim(s, s.courses, r.Courses[0].Key(), r.Courses[0], r, rules.CourseDuplicate)
	case casebook.MovementKind:
		for i := range r.Moves {
			if !s.once {
				s.claimMovement(int(r.First+i), r)
			}
		}
	case casebook.RepeatKind:
		claim(s, s.repeats, r.Repeat.Key(), *r.Repeat, r, rules.RepeatDuplicate)
	}
}

// knowCourse joins what flat rows say about a course, and reports whether they agree.
func (s *settled) knowCourse(r *row.Row, c casebook.Course) bool {
	if c.Case.ID == "" || c.Number == 0 {
		return true // refused already
	}
	known := s.flat[c.Key()]
	if known == nil {
		s.flat[c.Key()] = &flatCourse{value: c, row: r}
		return true
	}
	differ := row.MergeCourse(&known.value, c)
	if differ != "" {
		s.refuse(r, rules.CaseConflict, "the row disagrees with row "+place(known.row, r)+" about its course: "+differ)
	}
	return differ == ""
}

// emit adds the records of an accepted row to the batch.
func (s *settled) emit(t *layout.Table, r *row.Row) {
	b := s.Batch
	switch t.Kind {
	case casebook.CaseKind:
		s.listed[r.Case.Key()] = true
		b.Cases = append(b.Cases, rec(*r.Case, r))
	case casebook.CourseKind:
		b.Courses = append(b.Courses, rec(r.Courses[0], r))
	case casebook.RepeatKind:
		b.Repeats = append(b.Repeats, rec(*r.Repeat, r))
	case casebook.MovementKind:
		s.kept += copy(b.Movements[s.kept:], s.MovementsOf(r)) // in the place of what was rejected
		if r.Said == s.emitted {
			return
		}
		s.emitted = r.Said
		if r.Case != nil && !s.listed[r.Case.Key()] {
			s.listed[r.Case.Key()] = true
			s.order = append(s.order, rec(*r.Case, r))
		}
		s.emitCourses(r)
	}
}

// emitCourses gives each course of flat rows once, unless a sheet of courses did.
func (s *settled) emitCourses(r *row.Row) {
	for _, c := range r.Courses {
		k := c.Key()
		if _, done := s.courses[k]; done {
			continue
		}
		s.courses[k] = first[casebook.Course]{value: c}
		s.Batch.Courses = append(s.Batch.Courses, rec(s.flat[k].value, r))
	}
}

// emitCases gives the cases of flat rows with all that the file says about them.
func (s *settled) emitCases() {
	s.Batch.Cases = slices.Grow(s.Batch.Cases, len(s.order))
	for _, c := range s.order {
		c.Value = s.CaseOf(c.Value.Key())
		s.Batch.Cases = append(s.Batch.Cases, c)
	}
}

func rec[T any](v T, r *row.Row) casebook.Record[T] {
	return casebook.Record[T]{Value: v, Source: r.Source(), Original: r.Original}
}
