package rules

import (
	"shortfall/ingest/casebook"
)

// reporter takes one finding of a rule at the place of a record.
type reporter func(at casebook.Source, message string)

// view is the batch with its records grouped by case, built once for all checks.
type view struct {
	*casebook.Batch
	cases     map[string]int   // index into Batch.Cases
	courses   map[string][]int // indices into Batch.Courses by case
	movements map[string][]int // indices into Batch.Movements by case
	order     []string         // case ids by first appearance
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
		Batch: b, cases: map[string]int{}, courses: map[string][]int{}, movements: map[string][]int{},
	}
	seen := map[string]bool{}
	note := func(id string) {
		if !seen[id] {
			seen[id] = true
			v.order = append(v.order, id)
		}
	}
	for i, r := range b.Cases {
		v.cases[r.Value.ID] = i
		note(r.Value.ID)
	}
	for i, r := range b.Courses {
		v.courses[r.Value.CaseID] = append(v.courses[r.Value.CaseID], i)
		note(r.Value.CaseID)
	}
	for i, r := range b.Movements {
		v.movements[r.Value.CaseID] = append(v.movements[r.Value.CaseID], i)
		note(r.Value.CaseID)
	}
	return v
}
