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
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
)

// Row is one movement prepared for analysis. Planned is positive and achieved
// is measured along the planned direction, both in the unit of the axis.
type Row struct {
	Movement  *casebook.Movement // in the dataset; never changed
	Cluster   int                // index into prepared.cases; the patient is the unit
	Planned   float64
	Achieved  float64 // NaN where the outcome was not measured (prepared.missing only)
	Axis      casebook.Axis
	Direction casebook.Direction
	Tooth     casebook.Tooth
	Class     casebook.ToothClass
	Arch      casebook.Arch
	Style     casebook.Style
	Staging   casebook.Staging
	First     bool // of the initial course
	Doubt     casebook.Doubt
	Method    casebook.Method // in which the outcome was measured
	Course    int16           // 1 is the initial one; numbers beyond the type stay at its largest
	earlier   int32           // place of the row before it in Set.followed, +1; 0: none
}

// Stratum of the course the row belongs to.
func (r *Row) Stratum() results.CourseStratum {
	if r.First {
		return results.Initial
	}
	return results.Refinement
}

// Unit of planned and achieved.
func (r *Row) Unit() casebook.Unit { return r.Axis.Unit() }

// Shortfall is planned minus achieved; negative means overshoot.
func (r *Row) Shortfall() float64 { return r.Planned - r.Achieved }

// Expression is achieved over planned.
func (r *Row) Expression() float64 { return r.Achieved / r.Planned }

// Beyond reports an amount beyond the tolerance. Both are compared in hundredths, as they
// stand in a sheet: 1.1 less 0.6 is 0.5 on paper and a little more in binary fractions.
func Beyond(amount float64, u casebook.Unit, s *results.Settings) bool {
	return round.HalfAway(math.Abs(amount), hundredths) > round.HalfAway(s.Tolerance(u), hundredths)
}

// hundredths are the decimals in which amounts are compared with the tolerance.
const hundredths = 2

// Outside reports a shortfall or overshoot beyond the tolerance.
func (r *Row) Outside(s *results.Settings) bool { return Beyond(r.Shortfall(), r.Unit(), s) }

// Judged reports a plan beyond the tolerance. A smaller one ends inside it where nothing
// moves at all: it stays out of the share outside and is counted beside it.
func (r *Row) Judged(s *results.Settings) bool { return Beyond(r.Planned, r.Unit(), s) }

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
	there, sized := map[casebook.Direction]bool{}, map[casebook.Direction]bool{}
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

// part sends every movement to exactly one of analysed, missing, unplanned
// or an exclusion, and gives the fate of each.
func (p *Set) part() []fate {
	order := p.Order
	p.Analysed = make([]Row, 0, len(order))
	fates := make([]fate, len(order))
	doubts := casebook.Doubts(order, p.Settings.Smallest)
	at := 0
	if len(p.Cases) > 0 {
		p.Cases[0].From = 0
	}
	for i, m := range order {
		for ; at < p.ClusterOf[i]; at++ {
			p.Cases[at].To, p.Cases[at+1].From = len(p.Analysed), len(p.Analysed)
		}
		r := NewRow(m, at)
		r.Doubt = doubts[i]
		fates[i] = p.Fate(m, at)
		switch fates[i] {
		case OutsidePeriod:
			if FateOf(m, &p.Settings) == Analysed && !p.CutShort(at, m.Course) {
				p.before = append(p.before, r)
			}
		case CutShort:
			p.Short = append(p.Short, r)
		case Analysed:
			p.Analysed = append(p.Analysed, r)
		case PercentageOnly, Unmeasured:
			if !p.CutShort(at, m.Course) {
				p.Missing = append(p.Missing, r)
			}
		case NothingPlanned, BelowSmallest:
			if m.Achieved.OK {
				r.Planned, r.Achieved = m.Planned, m.Achieved.Value
				p.Unplanned = append(p.Unplanned, r)
			}
		}
	}
	if len(p.Cases) > 0 {
		p.Cases[at].To = len(p.Analysed)
		for i := at + 1; i < len(p.Cases); i++ {
			p.Cases[i].From, p.Cases[i].To = len(p.Analysed), len(p.Analysed)
		}
	}
	p.analysedBy, p.missingBy = listRows(p.Analysed), listRows(p.Missing)
	p.recordMethods()
	p.follow()
	return fates
}

// follow finds for every row that of the course before, once for all who ask.
func (p *Set) follow() {
	p.followed = p.Analysed
	if len(p.before) > 0 {
		p.followed = slices.Concat(p.before, p.Analysed)
		slices.SortFunc(p.followed, func(a, b Row) int { return CompareMovements(a.Movement, b.Movement) })
	}
	index := p.IndexRows(p.followed)
	for _, list := range [][]Row{p.Analysed, p.Missing} {
		for i := range list {
			if r := &list[i]; !r.First {
				r.earlier = int32(index.Find(r.Cluster, r.Movement.Course-1, r.Tooth, r.Axis) + 1)
			}
		}
	}
}

// Followed lists the analysed rows and those of courses that ended before the period, in
// key order.
func (p *Set) Followed() []Row { return p.followed }

// Before is the row of the same tooth and axis in the course before, as it was
// measured, of an analysed or a missing row; nil where there is none.
func (p *Set) Before(r *Row) *Row { return RowAt(p.followed, int(r.earlier)-1) }

func NewRow(m *casebook.Movement, cluster int) Row {
	d := m.Direction()
	r := Row{
		Movement: m, Cluster: cluster, Planned: math.Abs(m.Planned), Achieved: math.NaN(),
		Axis: m.Axis, Direction: d, Tooth: m.Tooth, Class: m.Tooth.Class(), Arch: m.Tooth.Arch(),
		Style: m.Style, Staging: m.Staging, First: m.Course <= 1, Course: int16(min(max(m.Course, 1), math.MaxInt16)),
	}
	if m.Achieved.OK {
		r.Achieved = d.Sign() * m.Achieved.Value
	}
	return r
}
