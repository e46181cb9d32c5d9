package rows

import (
	"cmp"
	"slices"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// CaseIndex finds movements of a list in key order: those of case c are
// start[c] <= i < start[c+1], with their keys side by side in memory.
type CaseIndex struct {
	start []int
	keys  []int64
}

// keyIn is the order of a movement within its case.
func keyIn(course int, tooth casebook.Tooth, axis casebook.Axis) int64 {
	return int64(course)<<16 | int64(tooth)<<8 | int64(axis)
}

func newCaseIndex(cases, n int, caseOf func(i int) int, at func(i int) *casebook.Movement) CaseIndex {
	x := CaseIndex{make([]int, cases+1), make([]int64, n)}
	for i := range n {
		m := at(i)
		x.start[caseOf(i)+1]++
		x.keys[i] = keyIn(m.Course, m.Tooth, m.Axis)
	}
	for c := range cases {
		x.start[c+1] += x.start[c]
	}
	return x
}

func (p *Set) IndexRows(rows []Row) CaseIndex {
	return newCaseIndex(len(p.Cases), len(rows), func(i int) int { return rows[i].Cluster }, func(i int) *casebook.Movement { return rows[i].Movement })
}

// IndexOrder indexes every movement on record.
func (p *Set) IndexOrder() CaseIndex {
	return newCaseIndex(len(p.Cases), len(p.Order), func(i int) int { return p.ClusterOf[i] }, func(i int) *casebook.Movement { return p.Order[i] })
}

// Next finds the movement of the same tooth and axis in the next course; -1
// where there is none.
func (x CaseIndex) Next(r *Row) int { return x.Find(r.Cluster, r.Movement.Course+1, r.Tooth, r.Axis) }

// Find looks among the movements of case c.
func (x CaseIndex) Find(c, course int, tooth casebook.Tooth, axis casebook.Axis) int {
	from, to := x.start[c], x.start[c+1]
	i, ok := slices.BinarySearch(x.keys[from:to], keyIn(course, tooth, axis))
	if !ok {
		return -1
	}
	return from + i
}

func RowAt(rows []Row, i int) *Row {
	if i < 0 {
		return nil
	}
	return &rows[i]
}

// listed are the places of rows by direction and course (initial, refinement), in order.
type listed [casebook.DirectionCount + 1][2][]int32

func listRows(list []Row) (l listed) {
	for i := range list {
		at := &l[list[i].Direction][stratumPlace(list[i].First)]
		*at = append(*at, int32(i))
	}
	return l
}

func stratumPlace(first bool) int {
	if first {
		return 0
	}
	return 1
}

// AnalysedIn lists the places of the analysed rows of a cell, in order.
func (p *Set) AnalysedIn(by results.By) []int32 {
	p.mustHavePlaces()
	return holding(p.Analysed, &p.analysedBy, by)
}

// MissingIn is AnalysedIn of the rows without an outcome.
func (p *Set) MissingIn(by results.By) []int32 {
	p.mustHavePlaces()
	return holding(p.Missing, &p.missingBy, by)
}

// mustHavePlaces refuses the rows of a cell alone, of which no other cell can be found: an
// empty list would read as none.
func (p *Set) mustHavePlaces() {
	if p.alone {
		panic("rows: the rows of a cell alone know no places")
	}
}

func holding(list []Row, l *listed, by results.By) (out []int32) {
	if by.Direction == casebook.NoDirection || by.Course == "" { // of several lists
		for i := range list {
			if Holds(by, &list[i]) {
				out = append(out, int32(i))
			}
		}
		return out
	}
	for _, i := range l[by.Direction][stratumPlace(by.Course == results.Initial)] {
		if Holds(by, &list[i]) {
			out = append(out, i)
		}
	}
	return out
}

// Compare orders rows by case, course, tooth and axis, as they stand in a Set.
func Compare(a, b *Row) int {
	if c := cmp.Compare(a.Cluster, b.Cluster); c != 0 {
		return c
	}
	if c := cmp.Compare(a.Course, b.Course); c != 0 { // at hand, and mostly enough
		return c
	}
	return cmp.Or(cmp.Compare(a.Movement.Course, b.Movement.Course), cmp.Compare(a.Tooth, b.Tooth), cmp.Compare(a.Axis, b.Axis))
}
