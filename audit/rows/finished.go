package rows

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// RefinementCount is how many refinements one case had, from the courses on record
// and from the practice's own count.
type RefinementCount struct {
	Refinements int  // the larger of the two
	Known       bool // at least one of the two is there
	Stated      bool // taken from the practice's own count: no course is on record
	Conflict    bool // both are there and differ
}

// RefinementCounts reconciles, case by case, what the headline, the criteria, the
// funnels and the tables all count. The larger number counts where the two places
// differ: a course may be missing from a sheet, and one that is on record took place.
// Courses say something only where the dataset tells initial courses from later ones
// at all: a sheet of first courses alone does not show that nobody was refined.
func (p *Set) RefinementCounts() []RefinementCount {
	courses, told := p.lastCourse, p.recordsCourses()
	out := make([]RefinementCount, len(p.Cases))
	for i := range p.Cases {
		c := &out[i]
		recorded := told && courses[i] > 0
		if recorded {
			c.Refinements, c.Known = courses[i]-1, true
		}
		if log := p.Cases[i].Log; log != nil && log.StatedRefinements.OK {
			stated := log.StatedRefinements.Value
			c.Stated, c.Conflict = !recorded, recorded && stated != c.Refinements
			c.Refinements, c.Known = max(c.Refinements, stated), true
		}
	}
	return out
}

// recordsCourses reports whether a later course, or anything of a course besides its
// number, is on record.
func (p *Set) recordsCourses() bool {
	for _, c := range p.Dataset.Courses {
		if c.Number > 1 || c.Start != 0 || c.AlignersPlanned.OK || c.AlignersUsed.OK {
			return true
		}
	}
	for _, m := range p.Order {
		if m.Course > 1 {
			return true
		}
	}
	return false
}

// checkConflicts refuses, where the settings say so, cases whose two counts differ.
func (p *Set) checkConflicts() error {
	if p.Settings.Questions.RefinementConflict != results.RefuseConflict {
		return nil
	}
	n, first := 0, casebook.CaseKey{}
	for i, c := range p.RefinementCounts() {
		if c.Conflict {
			if n == 0 {
				first = p.Cases[i].Key
			}
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return fmt.Errorf("%d cases state another number of refinements than their courses show, the first is %s: correct the case log or the courses, or let the larger count (--refinement-conflict %s)",
		n, first.ID, results.LargerCounts)
}

// FinishedCase is one completed case with what the refinement analyses need.
type FinishedCase struct {
	Patient     int // index into prepared.cases
	Refinements int
	Stated      bool           // taken from the practice's own count: no course is on record
	Conflict    bool           // stated and recorded differ
	Main        casebook.Style // the style most of its initial features have; NoStyle where none leads
}

// FinishedCases lists the completed cases whose refinements are known. Cases under
// treatment, switched, transferred and discontinued ones may have refinements still to
// come or cut short: they are followed from their start instead (Histories).
func (p *Set) FinishedCases() []FinishedCase {
	counts, main := p.RefinementCounts(), p.mainStyles()
	var out []FinishedCase
	for i, n := range counts {
		if n.Known && p.completed(i) {
			out = append(out, FinishedCase{Patient: i, Refinements: n.Refinements, Stated: n.Stated, Conflict: n.Conflict, Main: main[i]})
		}
	}
	return out
}

// FinishedUnknown counts the completed cases whose refinements are not known.
func (p *Set) FinishedUnknown() (n int) {
	for i, c := range p.RefinementCounts() {
		if !c.Known && p.completed(i) {
			n++
		}
	}
	return n
}

// StatusUnknown counts the cases of which nothing says whether they are completed.
func (p *Set) StatusUnknown() (n int) {
	for i := range p.Cases {
		var end casebook.Month
		if c := p.Cases[i].Log; c != nil {
			if c.Status != casebook.NoStatus {
				continue
			}
			end = c.End
		}
		if p.InPeriod(end) {
			n++
		}
	}
	return n
}

// completed reports a case logged as completed within the period.
func (p *Set) completed(i int) bool {
	c := p.Cases[i].Log
	return c != nil && c.Status == casebook.Completed && p.InPeriod(c.End)
}

// countCourses finds the highest course number on record of each case, from the
// courses and the movements; 0 where neither is there.
func (p *Set) countCourses() []int {
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
