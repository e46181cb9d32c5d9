package audit

import "slices"

// codeClinicians numbers the clinician codes 1, 2, ... in alphabetical order;
// 0 stands for "not recorded". A code counts within its practice.
func (p *prepared) codeClinicians() {
	name := func(i int) string {
		c := p.cases[i].log
		switch {
		case c == nil || c.Clinician == "":
			return ""
		case c.Practice == "":
			return c.Clinician
		}
		return c.Practice + " " + c.Clinician
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

// clinician of a row, as coded by codeClinicians.
func (p *prepared) clinician(r *row) int { return p.clinicianOf[r.cluster] }
