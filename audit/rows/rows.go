// Package rows turns a dataset into analysed rows, and counts in the flow what
// left on the way and why.
//
// Place in the pipeline: first stage of audit. A Set is made once from a
// casebook.Dataset and the settings; the grid, the comparisons and every question
// read it and change nothing in it.
package rows

import (
	"cmp"
	"fmt"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// Patient is one case with its courses and the place of its rows.
type Patient struct {
	Key     casebook.CaseKey
	Log     *casebook.Case    // nil where the case log lacks the case
	Courses []casebook.Course // by number
	From    int               // its rows are prepared.analysed[from:to]
	To      int
}

// Set is a dataset made ready for analysis. Every slice is in key order
// (case, course, tooth, axis), so the rows of a cluster are neighbours.
type Set struct {
	Dataset  *casebook.Dataset
	Settings results.Settings
	Cases    []Patient // every case of the log or of the movements, by id
	// analysed rows have a meaningful plan and a measured outcome.
	Analysed []Row
	// before are rows like those analysed, of courses that ended before the period: what
	// a tooth did earlier is looked up in them, and in followed, both lists in key order.
	before, followed []Row
	// missing rows have a meaningful plan and no measured outcome (achieved is
	// NaN); they enter the best and worst case bounds only.
	Missing []Row
	// unplanned rows have a measured outcome and a plan below the smallest
	// meaningful amount; planned and achieved keep their signs.
	Unplanned []Row
	// short rows have a meaningful plan, in a course that was cut short; Achieved
	// is NaN where it was not measured. They enter no estimate.
	Short    []Row
	Excluded []results.Exclusion
	// Stages are, step by step of the flow, the fate of what leaves at it; the steps
	// after Analysed go on from there. A period adds steps, so that the place of a step
	// tells nothing.
	Stages []int
	// Gone are the cases of which a period leaves no movement, with the step they leave at.
	Gone map[casebook.CaseKey]fate
	Flow results.Flow
	// order points at every movement in key order, clusterOf at its case.
	Order     []*casebook.Movement
	ClusterOf []int
	// clinicians are the codes in order; clinicianOf codes each case (see codeClinicians).
	Clinicians       []string
	ClinicianOf      []int
	severalPractices bool
	lastLooks        map[string]casebook.Month // by practice
	lastCourse       []int                     // highest course number on record, case by case
	removed          []removal
	Shelf            *Shelf
	// Notes are what one reader found that another asks for.
	Notes      *Notes
	alone      bool // these are rows of Near
	analysedBy listed
	missingBy  listed
	// Names words cells as far as the records give directions.
	Names wording.Names
	// Undated: the audit is of a period and no month at all is on record.
	Undated bool
}

// Prepare sorts, joins and classifies the records. It copies what it changes;
// the dataset stays as it was. A movement recorded twice is an error: the
// store keeps one record a key, so a duplicate means a broken caller.
func Prepare(ds *casebook.Dataset, s results.Settings) (*Set, error) {
	p := &Set{Settings: s, Shelf: new(Shelf), Notes: new(Notes)}
	ds, err := p.selected(ds)
	if err != nil {
		return nil, err
	}
	p.Dataset, p.Undated = ds, s.Period.Limited() && undated(ds)
	order := InOrder(ds.Movements)
	for i := 1; i < len(order); i++ {
		if CompareMovements(order[i-1], order[i]) == 0 {
			return nil, fmt.Errorf("movement recorded twice: course %d, tooth %v, %v of one case: keep one record",
				order[i].Course, order[i].Tooth, order[i].Axis)
		}
	}
	if err := p.joinCases(order); err != nil {
		return nil, err
	}
	p.locate(order)
	p.countFlow(p.part(), p.ClusterOf)
	p.Names = wording.Names{Notation: s.Notation, Unstated: p.unstated()}
	p.codeClinicians()
	p.findLastLooks()
	if err := p.checkBaseline(); err != nil {
		return nil, err
	}
	if err := p.checkConflicts(); err != nil {
		return nil, err
	}
	return p, nil
}

// unstated lists the directions in which sizes without direction count.
func (p *Set) unstated() (out []results.Unstated) {
	var there, sized [casebook.DirectionCount + 1]bool
	for _, rs := range [][]Row{p.Analysed, p.Missing, p.Short} {
		for i := range rs {
			there[rs[i].Direction] = true
			if rs[i].Movement.SizeOnly {
				sized[rs[i].Direction] = true
			}
		}
	}
	for _, d := range casebook.Directions() {
		if sized[d] {
			out = append(out, results.Unstated{Direction: d, Alone: !there[casebook.DirectionOf(d.Axis(), -d.Sign())]})
		}
	}
	return out
}

func CompareMovements(a, b *casebook.Movement) int {
	return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Course, b.Course),
		cmp.Compare(a.Tooth, b.Tooth), cmp.Compare(a.Axis, b.Axis))
}

// InOrder points at the movements in key order.
func InOrder(mv []casebook.Movement) []*casebook.Movement {
	order := make([]*casebook.Movement, len(mv))
	for i := range mv {
		order[i] = &mv[i]
	}
	if !slices.IsSortedFunc(order, CompareMovements) {
		slices.SortFunc(order, CompareMovements)
	}
	return order
}
