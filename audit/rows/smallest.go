package rows

import (
	"slices"

	"shortfall/audit/results/wording"
)

// WithSmallest is the Set with another smallest meaningful plan: the same cases and movements,
// which need no joining again, parted anew. Its flow is not counted.
func (p *Set) WithSmallest(mm, deg float64) *Set {
	q := &Set{
		Dataset: p.Dataset, Settings: p.Settings, Cases: slices.Clone(p.Cases), Order: p.Order, ClusterOf: p.ClusterOf,
		Clinicians: p.Clinicians, ClinicianOf: p.ClinicianOf, severalPractices: p.severalPractices,
		lastLooks: p.lastLooks, lastCourse: p.lastCourse, Shelf: p.Shelf, Undated: p.Undated,
	}
	q.Settings.SmallestMM, q.Settings.SmallestDeg = mm, deg
	q.part()
	q.Names = wording.Names{Notation: q.Settings.Notation, Unstated: q.unstated()}
	return q
}
