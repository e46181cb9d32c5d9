package rows

import (
	"slices"

	"shortfall/ingest/casebook"
)

// codeClinicians numbers the clinician codes 1, 2, ... in alphabetical order;
// 0 stands for "not recorded". A code counts within its practice.
func (p *Set) codeClinicians() {
	practices := map[string]bool{}
	for i := range p.Cases {
		practices[p.Cases[i].Key.Practice] = true
	}
	p.severalPractices = len(practices) > 1
	name := func(i int) string {
		if c := p.Cases[i].Log; c != nil {
			return p.UnitCode(c)
		}
		return ""
	}
	p.Clinicians = nil
	for i := range p.Cases {
		if n := name(i); n != "" {
			p.Clinicians = append(p.Clinicians, n)
		}
	}
	slices.Sort(p.Clinicians)
	p.Clinicians = slices.Compact(p.Clinicians)
	p.ClinicianOf = make([]int, len(p.Cases))
	for i := range p.Cases {
		if at, ok := slices.BinarySearch(p.Clinicians, name(i)); ok {
			p.ClinicianOf[i] = at + 1
		}
	}
}

// UnitCode tells clinicians of the same code in different practices apart.
func (p *Set) UnitCode(c *casebook.Case) string {
	if !p.severalPractices || c.Clinician == "" || c.Practice == "" {
		return c.Clinician
	}
	return c.Practice + " " + c.Clinician
}

// Clinician of a row, as coded by codeClinicians.
func (p *Set) Clinician(r *Row) int { return p.ClinicianOf[r.Cluster] }
