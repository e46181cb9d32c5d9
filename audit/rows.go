package audit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// row is one movement prepared for analysis. Planned is positive and achieved
// is measured along the planned direction, both in the unit of the axis.
type row struct {
	mv        *casebook.Movement // in the dataset; never changed
	cluster   int                // index into prepared.cases; the patient is the unit
	planned   float64
	achieved  float64 // NaN where the outcome was not measured (prepared.missing only)
	axis      casebook.Axis
	direction casebook.Direction
	tooth     casebook.Tooth
	class     casebook.ToothClass
	arch      casebook.Arch
	style     casebook.Style
	staging   casebook.Staging
	first     bool // of the initial course
}

// stratum of the course the row belongs to.
func (r *row) stratum() results.CourseStratum {
	if r.first {
		return results.Initial
	}
	return results.Refinement
}

// unit of planned and achieved.
func (r *row) unit() casebook.Unit { return r.axis.Unit() }

// shortfall is planned minus achieved; negative means overshoot.
func (r *row) shortfall() float64 { return r.planned - r.achieved }

// expression is achieved over planned.
func (r *row) expression() float64 { return r.achieved / r.planned }

// outside reports a shortfall or overshoot beyond the tolerance.
func (r *row) outside(s *results.Settings) bool {
	return math.Abs(r.shortfall()) > s.Tolerance(r.unit())
}

// patient is one case with its courses and the place of its rows.
type patient struct {
	key     casebook.CaseKey
	log     *casebook.Case    // nil where the case log lacks the case
	courses []casebook.Course // by number
	from    int               // its rows are prepared.analysed[from:to]
	to      int
}

// prepared is a dataset made ready for analysis. Every slice is in key order
// (case, course, tooth, axis), so the rows of a cluster are neighbours.
type prepared struct {
	ds       *casebook.Dataset
	settings results.Settings
	cases    []patient // every case of the log or of the movements, by id
	// analysed rows have a meaningful plan and a measured outcome.
	analysed []row
	// missing rows have a meaningful plan and no measured outcome (achieved is
	// NaN); they enter the best and worst case bounds only.
	missing []row
	// unplanned rows have a measured outcome and a plan below the smallest
	// meaningful amount; planned and achieved keep their signs.
	unplanned []row
	excluded  []results.Exclusion
	flow      results.Flow
	// order points at every movement in key order, clusterOf at its case.
	order     []*casebook.Movement
	clusterOf []int
	// clinicians are the codes in order; clinicianOf codes each case (see codeClinicians).
	clinicians       []string
	clinicianOf      []int
	severalPractices bool
	// fieldCases are, for each row of the completeness, the cases with the field
	// filled and with it empty, no more than the smallest number shown.
	fieldCases [][2]int
}

// prepare sorts, joins and classifies the records. It copies what it changes;
// the dataset stays as it was. A movement recorded twice is an error: the
// store keeps one record a key, so a duplicate means a broken caller.
func prepare(ds *casebook.Dataset, s results.Settings) (*prepared, error) {
	p := &prepared{ds: ds, settings: s}
	order := movementOrder(ds.Movements)
	for i := 1; i < len(order); i++ {
		if compareMovements(order[i-1], order[i]) == 0 {
			return nil, fmt.Errorf("movement recorded twice: course %d, tooth %v, %v of one case: keep one record",
				order[i].Course, order[i].Tooth, order[i].Axis)
		}
	}
	if err := p.joinCases(order); err != nil {
		return nil, err
	}
	p.classify(order)
	p.codeClinicians()
	return p, nil
}

func compareMovements(a, b *casebook.Movement) int {
	return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Course, b.Course),
		cmp.Compare(a.Tooth, b.Tooth), cmp.Compare(a.Axis, b.Axis))
}

// movementOrder points at the movements in key order.
func movementOrder(mv []casebook.Movement) []*casebook.Movement {
	order := make([]*casebook.Movement, len(mv))
	for i := range mv {
		order[i] = &mv[i]
	}
	if !slices.IsSortedFunc(order, compareMovements) {
		slices.SortFunc(order, compareMovements)
	}
	return order
}

// joinCases merges the case log with the cases that only movements name.
func (p *prepared) joinCases(order []*casebook.Movement) error {
	log := make([]*casebook.Case, len(p.ds.Cases))
	for i := range p.ds.Cases {
		log[i] = &p.ds.Cases[i]
	}
	slices.SortFunc(log, func(a, b *casebook.Case) int { return a.Key().Compare(b.Key()) })
	for i, c := range log {
		if i > 0 && log[i-1].Key() == c.Key() {
			return fmt.Errorf("case logged twice: keep one record a case")
		}
		p.cases = append(p.cases, patient{key: c.Key(), log: c})
	}
	logged := len(log)
	known := func(k casebook.CaseKey) bool {
		_, ok := slices.BinarySearchFunc(log, k, func(c *casebook.Case, k casebook.CaseKey) int { return c.Key().Compare(k) })
		return ok
	}
	for i, m := range order {
		if (i == 0 || order[i-1].Case != m.Case) && !known(m.Case) {
			p.cases = append(p.cases, patient{key: m.Case})
		}
	}
	if len(p.cases) > logged {
		slices.SortFunc(p.cases, func(a, b patient) int { return a.key.Compare(b.key) })
	}
	p.joinCourses()
	return nil
}

// caseName is what a case is called: its pseudonym, with the practice where two
// practices use the same one.
func (p *prepared) caseName(at int) string {
	k := p.cases[at].key
	if slices.ContainsFunc(p.cases, func(c patient) bool { return c.key.ID == k.ID && c.key != k }) {
		return k.String()
	}
	return k.ID
}

// joinCourses gives each case its courses by number.
func (p *prepared) joinCourses() {
	courses := slices.Clone(p.ds.Courses)
	slices.SortStableFunc(courses, func(a, b casebook.Course) int {
		return cmp.Or(a.Case.Compare(b.Case), cmp.Compare(a.Number, b.Number))
	})
	at := 0
	for i := range p.cases {
		for at < len(courses) && courses[at].Case.Compare(p.cases[i].key) < 0 {
			at++
		}
		from := at
		for at < len(courses) && courses[at].Case == p.cases[i].key {
			at++
		}
		p.cases[i].courses = courses[from:at:at]
	}
}

// classify sends every movement to exactly one of analysed, missing, unplanned
// or an exclusion, and counts the flow.
func (p *prepared) classify(order []*casebook.Movement) {
	p.analysed = make([]row, 0, len(order))
	fates := make([]fate, len(order))
	clusters := make([]int, len(order))
	p.order, p.clusterOf = order, clusters
	at := 0
	for i, m := range order {
		for p.cases[at].key != m.Case {
			p.cases[at].to = len(p.analysed)
			at++
			p.cases[at].from = len(p.analysed)
		}
		r := newRow(m, at)
		fates[i], clusters[i] = fateOf(m, &p.settings), at
		switch fates[i] {
		case analysedFate:
			p.analysed = append(p.analysed, r)
		case statedOnlyFate, unmeasuredFate:
			p.missing = append(p.missing, r)
		case zeroFate, smallFate:
			if m.Achieved.OK {
				r.planned, r.achieved = m.Planned, m.Achieved.Value
				p.unplanned = append(p.unplanned, r)
			}
		}
	}
	if len(p.cases) > 0 {
		p.cases[at].to = len(p.analysed)
		for i := at + 1; i < len(p.cases); i++ {
			p.cases[i].from, p.cases[i].to = len(p.analysed), len(p.analysed)
		}
	}
	p.countFlow(fates, clusters)
}

func newRow(m *casebook.Movement, cluster int) row {
	d := m.Direction()
	r := row{
		mv: m, cluster: cluster, planned: math.Abs(m.Planned), achieved: math.NaN(),
		axis: m.Axis, direction: d, tooth: m.Tooth, class: m.Tooth.Class(), arch: m.Tooth.Arch(),
		style: m.Style, staging: m.Staging, first: m.Course <= 1,
	}
	if m.Achieved.OK {
		r.achieved = d.Sign() * m.Achieved.Value
	}
	return r
}
