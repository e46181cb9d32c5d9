package rows

import (
	"cmp"
	"fmt"
	"slices"

	"shortfall/ingest/casebook"
)

// joinCases merges the case log with the cases that only movements name.
func (p *Set) joinCases(order []*casebook.Movement) error {
	log := make([]*casebook.Case, len(p.Dataset.Cases))
	for i := range p.Dataset.Cases {
		log[i] = &p.Dataset.Cases[i]
	}
	slices.SortFunc(log, func(a, b *casebook.Case) int { return a.Key().Compare(b.Key()) })
	for i, c := range log {
		if i > 0 && log[i-1].Key() == c.Key() {
			return fmt.Errorf("case logged twice: keep one record a case")
		}
		p.Cases = append(p.Cases, Patient{Key: c.Key(), Log: c})
	}
	logged := len(log)
	known := func(k casebook.CaseKey) bool {
		_, ok := slices.BinarySearchFunc(log, k, func(c *casebook.Case, k casebook.CaseKey) int { return c.Key().Compare(k) })
		return ok
	}
	for i, m := range order {
		if (i == 0 || order[i-1].Case != m.Case) && !known(m.Case) {
			p.Cases = append(p.Cases, Patient{Key: m.Case})
		}
	}
	if len(p.Cases) > logged {
		slices.SortFunc(p.Cases, func(a, b Patient) int { return a.Key.Compare(b.Key) })
	}
	p.joinCourses()
	return nil
}

// CaseName is what a case is called: its pseudonym, with the practice where two
// practices use the same one: cases stand by pseudonym, so the other is a neighbour.
func (p *Set) CaseName(at int) string {
	k := p.Cases[at].Key
	if at > 0 && p.Cases[at-1].Key.ID == k.ID || at+1 < len(p.Cases) && p.Cases[at+1].Key.ID == k.ID {
		return k.String()
	}
	return k.ID
}

// joinCourses gives each case its courses by number.
func (p *Set) joinCourses() {
	courses := slices.Clone(p.Dataset.Courses)
	slices.SortStableFunc(courses, func(a, b casebook.Course) int {
		return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Number, b.Number))
	})
	at := 0
	for i := range p.Cases {
		for at < len(courses) && courses[at].Case.Compare(p.Cases[i].Key) < 0 {
			at++
		}
		from := at
		for at < len(courses) && courses[at].Case == p.Cases[i].Key {
			at++
		}
		p.Cases[i].Courses = courses[from:at:at]
	}
}

// locate finds the case of each movement, and the last course of each case.
func (p *Set) locate(order []*casebook.Movement) {
	p.Order, p.ClusterOf = order, make([]int, len(order))
	at := 0
	for i, m := range order {
		for p.Cases[at].Key != m.Case {
			at++
		}
		p.ClusterOf[i] = at
	}
	p.lastCourse = p.countCourses()
}
