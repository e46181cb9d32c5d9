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
	if len(h.of) == 0 {
		return undo, nil
	}
	known := map[string][]string{}
	for _, id := range slices.Sorted(maps.Keys(h.of)) {
		if k := values.Skeleton(id); k != "" {
			known[k] = append(known[k], id)
		}
	}
	var open []casebook.CaseKey
	to := map[casebook.CaseKey]string{}
	first := map[casebook.CaseKey]casebook.Source{}
	keyOf := d.keys()
	eachKey(d.b, func(id, practice *string, at casebook.Source) {
		key := keyOf(*id, *practice)
		if _, seen := first[key]; seen || len(h.of[*id]) > 0 {
			return
		}
		first[key] = at
		if is := known[values.Skeleton(*id)]; len(is) == 1 && within(key.Practice, h.of[is[0]]) {
			to[key] = is[0]
			open = append(open, key)
		}
	})
	switch {
	case len(open) == 0 || d.c.Spelling == DifferentSpelt:
		return undo, nil
	case d.c.Spelling != SameSpelt:
		return undo, d.spellingError(open, first[open[0]])
	}
	if key, two := twoToOne(open, to); two {
		return undo, d.severalError(first[key])
	}
	type change struct {
		at  *string
		was string
	}
	var done []change
	eachKey(d.b, func(id, practice *string, _ casebook.Source) {
		if stands, ok := to[keyOf(*id, *practice)]; ok {
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

// keys gives the key of a record's case; one that names no practice is of the only practice
// that the file names beside its code.
func (d *decider) keys() func(id, practice string) casebook.CaseKey {
	named := map[string][]string{}
	eachKey(d.b, func(id, practice *string, _ casebook.Source) {
		if *practice != "" && !slices.Contains(named[*id], *practice) {
			named[*id] = append(named[*id], *practice)
		}
	})
	return func(id, practice string) casebook.CaseKey {
		if practice == "" && len(named[id]) == 1 {
			practice = named[id][0]
		}
		return casebook.CaseKey{Practice: practice, ID: id}
	}
}

// twoToOne finds a second code of the file that would be the same patient's as another of
// it: the file itself tells them apart.
func twoToOne(open []casebook.CaseKey, to map[casebook.CaseKey]string) (second casebook.CaseKey, found bool) {
	from := map[casebook.CaseKey]string{}
	for _, key := range open {
		stands := casebook.CaseKey{Practice: key.Practice, ID: to[key]}
		if other, taken := from[stands]; taken && other != key.ID {
			return key, true
		}
		from[stands] = key.ID
	}
	return casebook.CaseKey{}, false
}

// within reports that a case of the practice may be one of those practices.
func within(practice string, of []string) bool {
	return practice == "" || slices.Contains(of, practice) || slices.Contains(of, "")
}

func (d *decider) spellingError(open []casebook.CaseKey, at casebook.Source) error {
	e := d.refused(Spelling, at, "%s here already in a spelling that differs only by signs, spaces, capital letters or leading zeros; one patient would count twice",
		are(len(open), "a code of a case stands", "codes of cases stand"))
	e.Cases = open
	e.Remedy = fmt.Sprintf("If they are the same patients, give --spelling %s, and the codes that stand are taken; if each is a patient of its own, give --spelling %s; nothing of this file was kept", SameSpelt, DifferentSpelt)
	return e
}

func (d *decider) severalError(at casebook.Source) error {
	e := d.refused(Spelling, at, "this code and another of the file are spellings of one code that stands here, and the file tells them apart: they cannot both be that patient")
	e.Remedy = "Write the code of one patient in one way in the file, and read it again; nothing of this file was kept"
	return e
}
