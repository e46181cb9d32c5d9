package audit

import (
	"cmp"
	"sort"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// pair is a movement that fell short and the same movement planned again, in
// the same direction, in the next course.
type pair struct {
	first, next *row
}

// kept reports whether the style stayed.
func (p *pair) kept() bool { return p.first.style == p.next.style }

// pairing is every movement that fell short, paired or with the reason why not.
type pairing struct {
	pairs     []pair
	fellShort int
	left      []results.Exclusion
}

// The reasons why a movement that fell short is not paired, in order of test.
var unpairedReasons = []results.Exclusion{
	{ID: "not-planned-again", Reason: "Not planned again in the next course"},
	{ID: "other-direction", Reason: "Next plan in the other direction, or below the smallest meaningful amount"},
	{ID: "next-not-measured", Reason: "Planned again, outcome of the next course not measured"},
	{ID: "style-missing", Reason: "Feature style not recorded in one of the two courses"},
}

// pairCourses finds the movements that fell short by more than the tolerance
// and follows each into the next course.
func pairCourses(p *prepared) pairing {
	measured, unmeasured := p.indexRows(p.analysed), p.indexRows(p.missing)
	onRecord := p.indexOrder()
	var out pairing
	left := make([]int, len(unpairedReasons))
	for i := range p.analysed {
		r := &p.analysed[i]
		if r.shortfall() <= p.settings.Tolerance(r.unit()) {
			continue
		}
		out.fellShort++
		later, next := rowAt(p.missing, unmeasured.next(r)), rowAt(p.analysed, measured.next(r))
		again := onRecord.next(r)
		switch {
		case again < 0 || p.order[again].Planned == 0:
			left[0]++
		case next == nil && later == nil,
			next != nil && next.direction != r.direction,
			later != nil && later.direction != r.direction:
			left[1]++
		case next == nil:
			left[2]++
		case r.style == casebook.NoStyle || next.style == casebook.NoStyle:
			left[3]++
		default:
			out.pairs = append(out.pairs, pair{r, next})
		}
	}
	for i, n := range left {
		if n > 0 {
			e := unpairedReasons[i]
			e.Movements = n
			out.left = append(out.left, e)
		}
	}
	return out
}

// caseIndex finds movements of a list in key order: those of case c are
// start[c] <= i < start[c+1].
type caseIndex struct {
	start []int
	at    func(i int) *casebook.Movement
}

func newCaseIndex(cases, n int, caseOf func(i int) int, at func(i int) *casebook.Movement) caseIndex {
	x := caseIndex{make([]int, cases+1), at}
	for i := range n {
		x.start[caseOf(i)+1]++
	}
	for c := range cases {
		x.start[c+1] += x.start[c]
	}
	return x
}

func (p *prepared) indexRows(rows []row) caseIndex {
	return newCaseIndex(len(p.cases), len(rows), func(i int) int { return rows[i].cluster }, func(i int) *casebook.Movement { return rows[i].mv })
}

// indexOrder indexes every movement on record.
func (p *prepared) indexOrder() caseIndex {
	return newCaseIndex(len(p.cases), len(p.order), func(i int) int { return p.clusterOf[i] }, func(i int) *casebook.Movement { return p.order[i] })
}

// next finds the movement of the same tooth and axis in the next course; -1
// where there is none.
func (x caseIndex) next(r *row) int { return x.find(r.cluster, r.mv.Course+1, r.tooth, r.axis) }

// find looks among the movements of case c.
func (x caseIndex) find(c, course int, tooth casebook.Tooth, axis casebook.Axis) int {
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

func rowAt(rows []row, i int) *row {
	if i < 0 {
		return nil
	}
	return &rows[i]
}
