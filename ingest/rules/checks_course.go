package rules

import (
	"fmt"
	"maps"
	"slices"

	"shortfall/ingest/casebook"
)

// numbers lists the courses a case is known to have had, from its courses and
// its movements, with the place each was first seen.
func (v *view) numbers(id casebook.CaseKey) ([]int, map[int]casebook.Source) {
	at := map[int]casebook.Source{}
	for _, i := range v.courses[id] {
		r := v.Courses[i]
		if _, ok := at[r.Value.Number]; !ok {
			at[r.Value.Number] = r.Source
		}
	}
	for _, i := range v.movements[id] {
		r := v.Movements[i]
		if _, ok := at[r.Value.Course]; !ok {
			at[r.Value.Course] = r.Source
		}
	}
	return slices.Sorted(maps.Keys(at)), at
}

func courseGap(v *view, report reporter) {
	for _, id := range v.order {
		ns, at := v.numbers(id)
		expected := 1
		for _, n := range ns {
			if n > expected {
				report(at[n], fmt.Sprintf("course %d is here, and course %d is missing", n, expected))
			}
			expected = n + 1
		}
	}
}

func courseOrder(v *view, report reporter) {
	for _, id := range v.order {
		idx := slices.Clone(v.courses[id])
		slices.SortStableFunc(idx, func(a, b int) int { return v.Courses[a].Value.Number - v.Courses[b].Value.Number })
		last := casebook.Month(0)
		for _, i := range idx {
			c := v.Courses[i]
			if c.Value.Start == 0 {
				continue
			}
			if c.Value.Start < last {
				report(c.Source, fmt.Sprintf("course %d starts in %v, before an earlier course in %v", c.Value.Number, c.Value.Start, last))
			}
			last = max(last, c.Value.Start)
		}
	}
}

func refinementCount(v *view, report reporter) {
	for _, c := range v.Cases {
		ns, _ := v.numbers(c.Value.Key())
		if !c.Value.StatedRefinements.OK || len(ns) == 0 {
			continue
		}
		if counted := ns[len(ns)-1] - 1; counted != c.Value.StatedRefinements.Value {
			report(c.Source, fmt.Sprintf("%d refinements stated, %d counted", c.Value.StatedRefinements.Value, counted))
		}
	}
}
