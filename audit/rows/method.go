package rows

import (
	"math"
	"slices"

	"shortfall/ingest/casebook"
)

// recordMethods gives every row the way in which its outcome was measured: its own
// word, else its course's. A movement without an outcome was to be measured as most
// of its course was; without that word it would stand in no mouth of its own.
func (p *Set) recordMethods() {
	said := func(r *Row) casebook.Method {
		if r.Movement.MeasuredBy != casebook.NoMethod {
			return r.Movement.MeasuredBy
		}
		for i := range p.Cases[r.Cluster].Courses {
			if k := &p.Cases[r.Cluster].Courses[i]; k.Number == max(r.Movement.Course, 1) {
				return k.MeasuredBy
			}
		}
		return casebook.NoMethod
	}
	type course struct{ cluster, number int }
	type ways [casebook.MethodCount + 1]int
	of := map[course]*ways{}
	var last course
	var counts *ways
	at := func(r *Row) *ways {
		k := course{r.Cluster, max(r.Movement.Course, 1)}
		if counts != nil && k == last { // rows of a course are neighbours
			return counts
		}
		if last = k; of[k] == nil {
			of[k] = &ways{}
		}
		counts = of[k]
		return counts
	}
	for _, list := range [][]Row{p.Analysed, p.before, p.Short, p.Unplanned} {
		for i := range list {
			r := &list[i]
			if r.Method = said(r); !math.IsNaN(r.Achieved) {
				at(r)[r.Method]++
			}
		}
	}
	for i := range p.Missing {
		r := &p.Missing[i]
		if r.Method = said(r); r.Method != casebook.NoMethod {
			continue
		}
		for m, n := range at(r) {
			if n > at(r)[r.Method] {
				r.Method = casebook.Method(m)
			}
		}
	}
}

// Methods are the ways in which the outcomes analysed were measured, in print order,
// NoMethod for not recorded last.
func (p *Set) Methods() (out []casebook.Method) {
	var seen [casebook.MethodCount + 1]bool
	for i := range p.Analysed {
		seen[p.Analysed[i].Method] = true
	}
	for _, m := range append(casebook.Methods(), casebook.NoMethod) {
		if seen[m] {
			out = append(out, m)
		}
	}
	return out
}

// RepeatMethods gives each repeat of the dataset the way its movement was measured.
func (p *Set) RepeatMethods() []casebook.Method {
	out := make([]casebook.Method, len(p.Dataset.Repeats))
	if len(out) == 0 {
		return out
	}
	for _, list := range [][]Row{p.Analysed, p.Short, p.Unplanned} { // a movement is in one of them
		index := p.IndexRows(list)
		for i, r := range p.Dataset.Repeats {
			at, ok := slices.BinarySearchFunc(p.Cases, r.Case, func(c Patient, k casebook.CaseKey) int { return c.Key.Compare(k) })
			if !ok {
				continue
			}
			if row := RowAt(list, index.Find(at, r.Course, r.Tooth, r.Axis)); row != nil {
				out[i] = row.Method
			}
		}
	}
	return out
}
