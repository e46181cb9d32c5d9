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
	said := func(r *Row) casebook.Method { return p.said(r.Movement, r.Cluster) }
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

// said is the way on record of a movement: its own word, else its course's.
func (p *Set) said(m *casebook.Movement, cluster int) casebook.Method {
	if m.MeasuredBy != casebook.NoMethod {
		return m.MeasuredBy
	}
	for i := range p.Cases[cluster].Courses {
		if k := &p.Cases[cluster].Courses[i]; k.Number == max(m.Course, 1) {
			return k.MeasuredBy
		}
	}
	return casebook.NoMethod
}

// RepeatMethods gives each repeat of the dataset the way on record of its movement,
// whether or not that is analysed: one outside the period was measured all the same.
func (p *Set) RepeatMethods() []casebook.Method {
	out := make([]casebook.Method, len(p.Dataset.Repeats))
	if len(out) == 0 {
		return out
	}
	index := p.IndexOrder()
	for i, r := range p.Dataset.Repeats {
		at, ok := slices.BinarySearchFunc(p.Cases, r.Case, func(c Patient, k casebook.CaseKey) int { return c.Key.Compare(k) })
		if !ok {
			continue
		}
		if k := index.Find(at, r.Course, r.Tooth, r.Axis); k >= 0 {
			out[i] = p.said(p.Order[k], at)
		}
	}
	return out
}
