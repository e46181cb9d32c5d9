package audit

import (
	"cmp"
	"math"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// replanned counts, over the movements planned in the initial course of
// completed cases, how many were planned again, in the same direction and to a
// meaningful amount, in the next course. The outcome need not be on record.
func (p *prepared) replanned() []results.Replanned {
	type group struct {
		again   []bool
		cluster []int
	}
	var groups [7][4]group // axis (0: all), style
	onRecord := p.indexOrder()
	for i, m := range p.order {
		c := p.cases[p.clusterOf[i]].log
		if m.Course > 1 || c == nil || c.Status != casebook.Completed || m.Style == casebook.NoStyle || !p.meaningful(m) {
			continue
		}
		again := p.plannedAgain(onRecord, p.clusterOf[i], m)
		for _, axis := range [2]casebook.Axis{casebook.NoAxis, m.Axis} {
			g := &groups[axis][m.Style]
			g.again, g.cluster = append(g.again, again), append(g.cluster, p.clusterOf[i])
		}
	}
	var out []results.Replanned
	for axis := range groups {
		for _, style := range casebook.Styles() {
			if g := &groups[axis][style]; len(g.again) > 0 {
				out = append(out, results.Replanned{
					Axis: casebook.Axis(axis), Style: style, Cases: countRuns(g.cluster), Movements: len(g.again),
					Again: clusteredShare(g.again, g.cluster, &p.settings),
				})
			}
		}
	}
	return out
}

// meaningful reports a plan at or above the smallest meaningful amount.
func (p *prepared) meaningful(m *casebook.Movement) bool {
	return math.Abs(m.Planned) >= p.settings.Smallest(m.Axis.Unit())
}

// plannedAgain finds the same tooth and axis in the next course.
func (p *prepared) plannedAgain(onRecord caseIndex, c int, m *casebook.Movement) bool {
	at := onRecord.find(c, max(m.Course, 1)+1, m.Tooth, m.Axis)
	return at >= 0 && p.meaningful(p.order[at]) && cmp.Compare(p.order[at].Planned, 0) == cmp.Compare(m.Planned, 0)
}

// losses counts features lost, by style and tooth class. A feature is one
// tooth in one course, however many axes its tooth moved along; every course
// counts. Features whose fate is not recorded are left out.
func (p *prepared) losses() []results.Loss {
	type group struct {
		lost    []bool
		cluster []int
	}
	var groups [4][5]group // style, class (0: all)
	for i := 0; i < len(p.order); {
		from := i
		known, lost, style := false, false, casebook.NoStyle
		for ; i < len(p.order) && sameTooth(p.order[from], p.order[i]); i++ {
			style = max(style, p.order[i].Style)
			known = known || p.order[i].Lost.OK
			lost = lost || p.order[i].Lost.OK && p.order[i].Lost.Value
		}
		m := p.order[from]
		if !known || style < casebook.SoftwareSuggested {
			continue
		}
		for _, class := range [2]casebook.ToothClass{casebook.NoClass, m.Tooth.Class()} {
			g := &groups[style][class]
			g.lost, g.cluster = append(g.lost, lost), append(g.cluster, p.clusterOf[from])
		}
	}
	var out []results.Loss
	for _, style := range casebook.Styles() {
		for class := range groups[style] {
			if g := &groups[style][class]; len(g.lost) > 0 {
				out = append(out, results.Loss{
					Style: style, ToothClass: casebook.ToothClass(class), Cases: countRuns(g.cluster), Features: len(g.lost),
					Lost: clusteredShare(g.lost, g.cluster, &p.settings),
				})
			}
		}
	}
	return out
}
