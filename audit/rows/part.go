package rows

import (
	"slices"

	"shortfall/ingest/casebook"
)

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
