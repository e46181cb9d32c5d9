package rows

import (
	"shortfall/ingest/casebook"
)

// FinishedCase is one completed case with what the refinement analyses need.
type FinishedCase struct {
	Patient     int // index into prepared.cases
	Refinements int
	Stated      bool           // taken from the practice's own count: no course is on record
	Main        casebook.Style // the style most of its initial features have; NoStyle where none leads
}

// FinishedCases lists the completed cases. Cases under treatment, switched,
// transferred and discontinued ones may have refinements still to come or cut
// short, so they would bias the count downwards.
func (p *Set) FinishedCases() []FinishedCase {
	courses := p.CourseCounts()
	main := p.mainStyles()
	var out []FinishedCase
	for i := range p.Cases {
		c := p.Cases[i].Log
		if c == nil || c.Status != casebook.Completed {
			continue
		}
		f := FinishedCase{Patient: i, Refinements: max(courses[i]-1, 0), Main: main[i]}
		if courses[i] == 0 {
			if !c.StatedRefinements.OK {
				continue
			}
			f.Refinements, f.Stated = c.StatedRefinements.Value, true
		}
		out = append(out, f)
	}
	return out
}

// CourseCounts is the highest course number on record of each case, from the
// courses and the movements; 0 where neither is there.
func (p *Set) CourseCounts() []int {
	n := make([]int, len(p.Cases))
	for i := range p.Cases {
		for _, c := range p.Cases[i].Courses {
			n[i] = max(n[i], c.Number)
		}
	}
	for i, m := range p.Order {
		n[p.ClusterOf[i]] = max(n[p.ClusterOf[i]], m.Course)
	}
	return n
}

// mainStyles is the style that most teeth with a feature carry in the initial
// course, case by case; every tooth counts once.
func (p *Set) mainStyles() []casebook.Style {
	votes := make([][2]int, len(p.Cases))
	for i, m := range p.Order {
		if m.Course > 1 || m.Style != casebook.SoftwareSuggested && m.Style != casebook.ClinicianDesigned {
			continue
		}
		if i > 0 && SameTooth(p.Order[i-1], m) && p.Order[i-1].Style == m.Style {
			continue
		}
		votes[p.ClusterOf[i]][m.Style-casebook.SoftwareSuggested]++
	}
	main := make([]casebook.Style, len(p.Cases))
	for i, v := range votes {
		switch {
		case v[0] > v[1]:
			main[i] = casebook.SoftwareSuggested
		case v[1] > v[0]:
			main[i] = casebook.ClinicianDesigned
		}
	}
	return main
}

func SameTooth(a, b *casebook.Movement) bool {
	return a.Case == b.Case && a.Course == b.Course && a.Tooth == b.Tooth
}
