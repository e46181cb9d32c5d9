package audit

import (
	"slices"

	"shortfall/ingest/casebook"
)

// codeClinicians numbers the clinician codes 1, 2, ... in alphabetical order;
// 0 stands for "not recorded". A code counts within its practice.
func (p *prepared) codeClinicians() {
	practices := map[string]bool{}
	for i := range p.cases {
		practices[p.cases[i].key.Practice] = true
	}
	p.severalPractices = len(practices) > 1
	name := func(i int) string {
		if c := p.cases[i].log; c != nil {
			return p.unitCode(c)
		}
		return ""
	}
	p.clinicians = nil
	for i := range p.cases {
		if n := name(i); n != "" {
			p.clinicians = append(p.clinicians, n)
		}
	}
	slices.Sort(p.clinicians)
	p.clinicians = slices.Compact(p.clinicians)
	p.clinicianOf = make([]int, len(p.cases))
	for i := range p.cases {
		if at, ok := slices.BinarySearch(p.clinicians, name(i)); ok {
			p.clinicianOf[i] = at + 1
		}
	}
}

// unitCode tells clinicians of the same code in different practices apart.
func (p *prepared) unitCode(c *casebook.Case) string {
	if !p.severalPractices || c.Clinician == "" || c.Practice == "" {
		return c.Clinician
	}
	return c.Practice + " " + c.Clinician
}

// clinician of a row, as coded by codeClinicians.
func (p *prepared) clinician(r *row) int { return p.clinicianOf[r.cluster] }
