package rules

import (
	"shortfall/ingest/casebook"
)

// reporter takes one finding of a rule at the place of a record.
type reporter func(at casebook.Source, message string)

// view is the batch with its records grouped by case, built once for all checks.
type view struct {
	*casebook.Batch
	cases     map[casebook.CaseKey]int   // index into Batch.Cases
	courses   map[casebook.CaseKey][]int // indices into Batch.Courses by case
	movements map[casebook.CaseKey][]int // indices into Batch.Movements by case
	order     []casebook.CaseKey         // cases by first appearance
}

// Check runs the rules that need whole records over an accepted batch and
// appends what they find to its problems.
func Check(b *casebook.Batch) {
	v := newView(b)
	for _, r := range All() {
		if r.check == nil {
			continue
		}
		r.check(v, func(at casebook.Source, message string) {
			p := New(r.ID, "%s", message)
			p.File, p.Sheet, p.Row = b.File.Name, at.Sheet, at.Row
			b.Problems = append(b.Problems, p)
		})
	}
}

func newView(b *casebook.Batch) *view {
	v := &view{
		Batch: b, cases: map[casebook.CaseKey]int{}, courses: map[casebook.CaseKey][]int{}, movements: map[casebook.CaseKey][]int{},
	}
	seen := map[casebook.CaseKey]bool{}
	note := func(id casebook.CaseKey) {
		if !seen[id] {
			seen[id] = true
			v.order = append(v.order, id)
		}
	}
	for i, r := range b.Cases {
		v.cases[r.Value.Key()] = i
		note(r.Value.Key())
	}
	for i, r := range b.Courses {
		v.courses[r.Value.Case] = append(v.courses[r.Value.Case], i)
		note(r.Value.Case)
	}
	for i, r := range b.Movements {
		v.movements[r.Value.Case] = append(v.movements[r.Value.Case], i)
		note(r.Value.Case)
	}
	return v
}
