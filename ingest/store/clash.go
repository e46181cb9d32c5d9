package store

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// mostPlaces are named in the message of a clash.
const mostPlaces = 5

// plan of a movement: what makes two records the same movement of a patient.
type planned struct {
	course int
	tooth  casebook.Tooth
	axis   casebook.Axis
	amount float64
}

func plannedOf(m *casebook.Movement) planned { return planned{m.Course, m.Tooth, m.Axis, m.Planned} }

// spans are the first and the last course of each case.
type spans map[casebook.CaseKey]struct{ first, last int }

func (s spans) add(k casebook.CaseKey, course int) {
	x, ok := s[k]
	if !ok {
		x.first = course
	}
	x.first, x.last = min(x.first, course), max(x.last, course)
	s[k] = x
}

// clashes refuses known cases that come again and share no movement with what
// stands: the pseudonym may be another patient's, of another practice. A file
// that only goes on, with later courses than all that stand, is no clash, nor one of what
// went before: refinements may be read first.
func (d *decider) clashes() error {
	stands, held := map[casebook.CaseKey]map[planned]bool{}, spans{}
	// any order: the first and the last course of each case are kept
	for k, h := range d.k.Movements {
		if !d.cases[k.Case] {
			continue
		}
		if stands[k.Case] == nil {
			stands[k.Case] = map[planned]bool{}
		}
		stands[k.Case][plannedOf(&h.Value)] = true
		held.add(k.Case, k.Course)
	}
	agrees, first, given := map[casebook.CaseKey]bool{}, map[casebook.CaseKey]casebook.Source{}, spans{}
	var order []casebook.CaseKey
	for i := range d.b.Movements {
		m := &d.b.Movements[i]
		k := m.Value.Case
		if stands[k] == nil || slices.Contains(d.c.Correct, k.ID) {
			continue
		}
		if _, seen := first[k]; !seen {
			first[k], order = m.Source, append(order, k)
		}
		given.add(k, m.Value.Course)
		agrees[k] = agrees[k] || stands[k][plannedOf(&m.Value)]
	}
	var places []string
	var cases []casebook.CaseKey
	clashed := 0
	var at casebook.Source
	for _, k := range order {
		if agrees[k] || given[k].first > held[k].last || given[k].last < held[k].first {
			continue
		}
		if clashed++; clashed == 1 {
			at = first[k]
		}
		cases = append(cases, k)
		if len(places) < mostPlaces {
			places = append(places, fmt.Sprintf("sheet %s, row %d", first[k].Sheet, first[k].Row))
		}
	}
	if clashed == 0 {
		return nil
	}
	if more := clashed - len(places); more > 0 {
		places = append(places, fmt.Sprintf("%d more", more))
	}
	e := d.refused(Clash, at, "%s known under the same pseudonym and no movement (course, tooth, axis, planned) is the same: %s",
		are(clashed, "a case is", "cases are"), strings.Join(places, "; "))
	e.Cases = cases
	e.Remedy = "If the cases are another practice's, give --practice CODE; if these are corrections of the same patients, give --correct CASE for each; nothing of this file was kept"
	return e
}

func are(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf("%d %s", n, more)
}
