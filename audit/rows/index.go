package rows

import (
	"cmp"
	"sort"

	"shortfall/ingest/casebook"
)

// CaseIndex finds movements of a list in key order: those of case c are
// start[c] <= i < start[c+1].
type CaseIndex struct {
	start []int
	at    func(i int) *casebook.Movement
}

func newCaseIndex(cases, n int, caseOf func(i int) int, at func(i int) *casebook.Movement) CaseIndex {
	x := CaseIndex{make([]int, cases+1), at}
	for i := range n {
		x.start[caseOf(i)+1]++
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
	i, ok := sort.Find(to-from, func(i int) int {
		m := x.at(from + i)
		return cmp.Or(cmp.Compare(course, m.Course), cmp.Compare(tooth, m.Tooth), cmp.Compare(axis, m.Axis))
	})
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
