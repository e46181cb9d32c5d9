package switches

import (
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// pair is a movement that fell short and the same movement planned again, in
// the same direction, in the next course.
type pair struct {
	first, next *rows.Row
}

// pairing is every movement that fell short, paired or with the reason why not.
type pairing struct {
	pairs     []pair
	fellShort int
	left      []results.Exclusion
}

// styleMissing is of movements that were followed up and have no style.
const styleMissing = "style-missing"

// The reasons why a movement that fell short is not paired, in order of test.
var unpairedReasons = []results.Exclusion{
	{ID: "not-planned-again", Reason: "Not planned again in the next course"},
	{ID: "other-direction", Reason: "Next plan in the other direction, or below the smallest meaningful amount"},
	{ID: "next-not-measured", Reason: "Planned again, outcome of the next course not measured"},
	{ID: "next-not-ended", Reason: "Planned again in a course that had not ended by the end of the period"},
	{ID: styleMissing, Reason: "Attachment style not recorded in one of the two courses"},
}

// Followed calls back with each movement that went one path: its row in the course that
// fell short, and in the next.
func Followed(p *rows.Set, axis casebook.Axis, from, to casebook.Style, each func(first, next *rows.Row)) {
	for _, x := range pairCourses(p).pairs {
		if x.first.Axis == axis && x.first.Style == from && x.next.Style == to {
			each(x.first, x.next)
		}
	}
}

// pairCourses finds the movements that fell short by more than the tolerance
// and follows each into the next course.
func pairCourses(p *rows.Set) pairing {
	measured, unmeasured := p.IndexRows(p.Analysed), p.IndexRows(p.Missing)
	onRecord := p.IndexOrder()
	var out pairing
	left := make([]int, len(unpairedReasons))
	followed := p.Followed()
	for i := range followed {
		r := &followed[i]
		nextEnded := p.CourseInPeriod(r.Cluster, r.Movement.Course+1)
		if !nextEnded && !p.CourseInPeriod(r.Cluster, r.Movement.Course) || r.Shortfall() <= 0 || !r.Outside(&p.Settings) {
			continue
		}
		out.fellShort++
		later, next := rows.RowAt(p.Missing, unmeasured.Next(r)), rows.RowAt(p.Analysed, measured.Next(r))
		again := onRecord.Next(r)
		switch {
		case again < 0 || p.Order[again].Planned == 0:
			left[0]++
		case !nextEnded:
			left[3]++
		case next == nil && later == nil,
			next != nil && next.Direction != r.Direction,
			later != nil && later.Direction != r.Direction:
			left[1]++
		case next == nil:
			left[2]++
		case r.Style == casebook.NoStyle || next.Style == casebook.NoStyle:
			left[4]++
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
