package rows

import "slices"

// Near is memory for Set.Near.
type Near struct {
	analysed, missing []Row
	places            []int32
}

// Near gives the rows of a cell alone and side by side, for who reads each of them dozens of
// times: in the Set they lie far apart, and every look waits for memory. They are all that
// is Analysed and Missing there, without the places of cases and cells; what else it knows is
// that of p. places are those of its rows. All of it is good until the next Near of the same
// memory; AnalysedIn and MissingIn panic, since it has no such places. See BenchmarkNear.
func (p *Set) Near(analysed, missing []int32, memory *Near) (q *Set, ofAnalysed, ofMissing []int32) {
	memory.analysed = appendRows(memory.analysed[:0], p.Analysed, analysed)
	memory.missing = appendRows(memory.missing[:0], p.Missing, missing)
	for n := max(len(analysed), len(missing)); len(memory.places) < n; {
		memory.places = append(memory.places, int32(len(memory.places)))
	}
	near := *p
	near.Analysed, near.Missing = memory.analysed, memory.missing
	near.alone, near.analysedBy, near.missingBy = true, listed{}, listed{}
	return &near, memory.places[:len(analysed)], memory.places[:len(missing)]
}

func appendRows(to, from []Row, which []int32) []Row {
	to = slices.Grow(to, len(which))
	for _, i := range which {
		to = append(to, from[i])
	}
	return to
}
