package audit

import (
	"cmp"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// replanned counts, over the movements planned in the initial course of
// completed cases, how many were planned again, in the same direction and to a
// meaningful amount, in the next course. The outcome need not be on record.
func replanned(p *rows.Set) []results.Replanned {
	type group struct {
		again   []bool
		cluster []int
	}
	var groups [7][4]group // axis (0: all), style
	onRecord := p.IndexOrder()
	for i, m := range p.Order {
		c := p.Cases[p.ClusterOf[i]].Log
		if m.Course > 1 || c == nil || c.Status != casebook.Completed || m.Style == casebook.NoStyle || !p.Meaningful(m) {
			continue
		}
		again := plannedAgain(p, onRecord, p.ClusterOf[i], m)
		for _, axis := range [2]casebook.Axis{casebook.NoAxis, m.Axis} {
			g := &groups[axis][m.Style]
			g.again, g.cluster = append(g.again, again), append(g.cluster, p.ClusterOf[i])
		}
	}
	var out []results.Replanned
	for axis := range groups {
		for _, style := range casebook.Styles() {
			if g := &groups[axis][style]; len(g.again) > 0 {
				out = append(out, results.Replanned{
					Axis: casebook.Axis(axis), Style: style, Cases: measure.CountRuns(g.cluster), Movements: len(g.again),
					Again: measure.ClusteredShare(g.again, g.cluster, &p.Settings),
				})
			}
		}
	}
	return out
}

// plannedAgain finds the same tooth and axis in the next course.
func plannedAgain(p *rows.Set, onRecord rows.CaseIndex, c int, m *casebook.Movement) bool {
	at := onRecord.Find(c, max(m.Course, 1)+1, m.Tooth, m.Axis)
	return at >= 0 && p.Meaningful(p.Order[at]) && cmp.Compare(p.Order[at].Planned, 0) == cmp.Compare(m.Planned, 0)
}

// losses counts features lost, by style and tooth class. A feature is one
// tooth in one course, however many axes its tooth moved along; every course
// counts. Features whose fate is not recorded are left out.
func losses(p *rows.Set) []results.Loss {
	type group struct {
		lost    []bool
		cluster []int
	}
	var groups [4][5]group // style, class (0: all)
	for i := 0; i < len(p.Order); {
		from := i
		known, lost, style := false, false, casebook.NoStyle
		for ; i < len(p.Order) && rows.SameTooth(p.Order[from], p.Order[i]); i++ {
			style = max(style, p.Order[i].Style)
			known = known || p.Order[i].Lost.OK
			lost = lost || p.Order[i].Lost.OK && p.Order[i].Lost.Value
		}
		m := p.Order[from]
		if !known || style < casebook.SoftwareSuggested {
			continue
		}
		for _, class := range [2]casebook.ToothClass{casebook.NoClass, m.Tooth.Class()} {
			g := &groups[style][class]
			g.lost, g.cluster = append(g.lost, lost), append(g.cluster, p.ClusterOf[from])
		}
	}
	var out []results.Loss
	for _, style := range casebook.Styles() {
		for class := range groups[style] {
			if g := &groups[style][class]; len(g.lost) > 0 {
				out = append(out, results.Loss{
					Style: style, ToothClass: casebook.ToothClass(class), Cases: measure.CountRuns(g.cluster), Features: len(g.lost),
					Lost: measure.ClusteredShare(g.lost, g.cluster, &p.Settings),
				})
			}
		}
	}
	return out
}
