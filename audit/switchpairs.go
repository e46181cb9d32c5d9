package audit

import "shortfall/ingest/casebook"

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
	left      []Exclusion
}

// The reasons why a movement that fell short is not paired, in order of test.
var unpairedReasons = []Exclusion{
	{ID: "not-planned-again", Reason: "Not planned again in the next course"},
	{ID: "other-direction", Reason: "Next plan in the other direction, or below the smallest meaningful amount"},
	{ID: "next-not-measured", Reason: "Planned again, outcome of the next course not measured"},
	{ID: "style-missing", Reason: "Feature style not recorded in one of the two courses"},
}

// pairCourses finds the movements that fell short by more than the tolerance
// and follows each into the next course.
func pairCourses(p *prepared) pairing {
	measured, unmeasured := indexRows(p.analysed), indexRows(p.missing)
	planned := map[casebook.MovementKey]bool{}
	for i := range p.ds.Movements {
		if m := &p.ds.Movements[i]; m.Planned != 0 {
			planned[m.Key()] = true
		}
	}
	var out pairing
	left := make([]int, len(unpairedReasons))
	for i := range p.analysed {
		r := &p.analysed[i]
		if r.shortfall() <= p.settings.Tolerance(r.unit()) {
			continue
		}
		out.fellShort++
		key := r.mv.Key()
		key.Course++
		next, later := measured[key], unmeasured[key]
		switch {
		case !planned[key]:
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

func indexRows(rows []row) map[casebook.MovementKey]*row {
	out := make(map[casebook.MovementKey]*row, len(rows))
	for i := range rows {
		out[rows[i].mv.Key()] = &rows[i]
	}
	return out
}
