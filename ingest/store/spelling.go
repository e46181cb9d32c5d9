package store

import (
	"fmt"
	"maps"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/values"
)

// What a person says of codes that are known in another spelling.
const (
	SameSpelt      = "same"      // one patient: the spelling that stands is taken
	DifferentSpelt = "different" // patients of their own
)

// respell deals with new cases whose code stands here in another spelling: with other
// signs, spaces, capital letters or leading zeros, as a spreadsheet takes the zeros off
// 001. Unless it is said what they are it is asked, since one patient would count twice.
// Where two spellings of a code stand already, spelling tells patients apart, and nothing
// is asked. It is done before the practices are settled, which goes by codes; undo puts
// the codes of the batch back.
func (d *decider) respell(h holdings) (undo func(), err error) {
	undo = func() {}
	known := map[string][]string{}
	for _, id := range slices.Sorted(maps.Keys(h.of)) {
		if k := values.Skeleton(id); k != "" {
			known[k] = append(known[k], id)
		}
	}
	var open []casebook.CaseKey
	to := map[string]string{}
	first := map[string]casebook.Source{}
	eachKey(d.b, func(id, practice *string, at casebook.Source) {
		if _, seen := first[*id]; seen || len(h.of[*id]) > 0 {
			return
		}
		first[*id] = at
		if is := known[values.Skeleton(*id)]; len(is) == 1 && within(*practice, h.of[is[0]]) {
			to[*id] = is[0]
			open = append(open, casebook.CaseKey{Practice: *practice, ID: *id})
		}
	})
	switch {
	case len(open) == 0 || d.c.Spelling == DifferentSpelt:
		return undo, nil
	case d.c.Spelling != SameSpelt:
		return undo, d.spellingError(open, first[open[0].ID])
	}
	type change struct {
		at  *string
		was string
	}
	var done []change
	eachKey(d.b, func(id, _ *string, _ casebook.Source) {
		if stands, ok := to[*id]; ok {
			done = append(done, change{id, *id})
			*id = stands
		}
	})
	return func() {
		for _, c := range done {
			*c.at = c.was
		}
	}, nil
}

// within reports that a case of the practice may be one of those practices.
func within(practice string, of []string) bool {
	return practice == "" || slices.Contains(of, practice) || slices.Contains(of, "")
}

// eachKey visits the case of every record of a file.
func eachKey(b *casebook.Batch, visit func(id, practice *string, at casebook.Source)) {
	for i := range b.Cases {
		visit(&b.Cases[i].Value.ID, &b.Cases[i].Value.Practice, b.Cases[i].Source)
	}
	for i := range b.Courses {
		k := &b.Courses[i].Value.Case
		visit(&k.ID, &k.Practice, b.Courses[i].Source)
	}
	for i := range b.Movements {
		k := &b.Movements[i].Value.Case
		visit(&k.ID, &k.Practice, b.Movements[i].Source)
	}
	for i := range b.Repeats {
		k := &b.Repeats[i].Value.Case
		visit(&k.ID, &k.Practice, b.Repeats[i].Source)
	}
}

func (d *decider) spellingError(open []casebook.CaseKey, at casebook.Source) error {
	e := d.refused(Spelling, at, "%s here already in a spelling that differs only by signs, spaces, capital letters or leading zeros; one patient would count twice",
		are(len(open), "a code of a case stands", "codes of cases stand"))
	e.Cases = open
	e.Remedy = fmt.Sprintf("If they are the same patients, give --spelling %s, and the codes that stand are taken; if each is a patient of its own, give --spelling %s; nothing of this file was kept", SameSpelt, DifferentSpelt)
	return e
}
