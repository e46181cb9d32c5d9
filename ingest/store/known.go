package store

import (
	"maps"
	"slices"

	"shortfall/ingest/casebook"
)

// Held is a current record and the id of the file it came from.
type Held[T any] struct {
	Value T
	File  int64
}

// Known is what a database holds when a file arrives. One that is large is not read whole:
// it gives Standing, Fetch and EachMovement, and the records of those cases alone that
// Fetch is asked for. Where Fetch is nil, all records are there and the three are not used.
type Known struct {
	Path      string    // for messages
	Editions  []Edition // every file, in the order of import
	Cases     map[casebook.CaseKey]Held[casebook.Case]
	Courses   map[casebook.CourseKey]Held[casebook.Course]
	Movements map[casebook.MovementKey]Held[casebook.Movement]
	Repeats   map[casebook.MovementKey]Held[casebook.Repeat]
	// Removed cases stay out of the audit; of erased ones nothing is kept.
	Removed map[casebook.CaseKey]bool
	Erased  func(casebook.CaseKey) bool
	// Standing are all cases that have a record of any kind.
	Standing map[casebook.CaseKey]Standing
	// Fetch adds the records of all cases of these pseudonyms, of whatever practice.
	Fetch func(ids []string) error
	// EachMovement visits all movements, of which it need know no more than the key and
	// what was planned and achieved.
	EachMovement func(visit func(*casebook.Movement)) error

	fetched map[string]bool
}

// Standing is what there is of one case.
type Standing struct {
	Files     []int64 // that gave its records
	Moved     []int64 // that gave its movements
	Movements int
}

// Whole is k, with what a database that was read whole does not give.
func (k *Known) Whole() *Known {
	out := *k
	out.fetched = map[string]bool{}
	if k.Fetch != nil {
		return &out
	}
	out.Fetch = func([]string) error { return nil }
	out.EachMovement = func(visit func(*casebook.Movement)) error {
		// any order: what is visited is counted
		for _, h := range k.Movements {
			visit(&h.Value)
		}
		return nil
	}
	out.Standing = map[casebook.CaseKey]Standing{}
	note := func(key casebook.CaseKey, file int64, movements int) {
		s := out.Standing[key]
		if s.Movements += movements; movements > 0 && !slices.Contains(s.Moved, file) {
			s.Moved = append(s.Moved, file)
		}
		if !slices.Contains(s.Files, file) {
			s.Files = append(s.Files, file)
		}
		out.Standing[key] = s
	}
	// any order: of the files it matters only which there are
	for key, h := range k.Cases {
		note(key, h.File, 0)
	}
	// any order: as above
	for key, h := range k.Courses {
		note(key.Case, h.File, 0)
	}
	// any order: as above
	for key, h := range k.Movements {
		note(key.Case, h.File, 1)
	}
	// any order: as above
	for key, h := range k.Repeats {
		note(key.Case, h.File, 0)
	}
	return &out
}

// fetch makes sure that the records of cases are there, as far as any stand.
func (k *Known) fetch(cases map[casebook.CaseKey]bool) error {
	stands := map[string]bool{}
	// any order: a set
	for key := range k.Standing {
		stands[key.ID] = true
	}
	var ids []string
	for _, key := range slices.SortedFunc(maps.Keys(cases), casebook.CaseKey.Compare) {
		if stands[key.ID] && !k.fetched[key.ID] {
			k.fetched[key.ID] = true
			ids = append(ids, key.ID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	return k.Fetch(ids)
}

// moved reports whether any movement stands.
func (k *Known) moved() bool {
	for _, s := range k.Standing { // any order: one is enough
		if s.Movements > 0 {
			return true
		}
	}
	return false
}

// holdings lists the practices and which of them hold which pseudonym.
func (k *Known) holdings() holdings {
	h := holdings{of: map[string][]string{}}
	all := map[string]bool{}
	// any order: a pseudonym's practices are only counted, or the one taken
	for key := range k.Standing {
		all[key.Practice] = true
		h.of[key.ID] = append(h.of[key.ID], key.Practice)
	}
	h.all = slices.Sorted(maps.Keys(all))
	return h
}
