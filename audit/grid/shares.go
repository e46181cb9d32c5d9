package grid

import (
	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// withholdShares keeps back, in cells that are shown, the share outside tolerance where it
// is of few cases, and, where each of these has one movement, where it counts few of them;
// with as many more as keep it from being worked out. Plans no larger than the tolerance
// are mostly a handful, and left out altogether.
func withholdShares(p *rows.Set, cells []results.Cell, t *disclose.Tables, hide []bool) {
	base := judgedCases(p, cells)
	shares := disclose.Tables{Parts: t.Parts, Lines: t.Lines, Cases: make([]int, len(t.Cases)), Mute: make([]bool, len(t.Mute))}
	for i := range t.Cases {
		shares.Cases[i], shares.Mute[i] = t.Cases[i], t.Mute[i]
		if i < len(cells) {
			o := cells[i].OutsideTolerance
			shares.Cases[i] = disclose.CasesTold(base[i], o.Numerator, o.Denominator)
			shares.Mute[i] = hide[i]
		}
	}
	for i, back := range shares.Hidden(p.Settings.MinCellCases)[:len(cells)] {
		c := &cells[i]
		c.SmallPlans, c.SmallOutside = results.NotEstimable, results.NotEstimable
		if back && !hide[i] && c.OutsideTolerance.Denominator > 0 {
			c.OutsideTolerance = disclose.NoShare(&p.Settings)
		}
	}
}

// judgedCases counts the cases with a plan larger than the tolerance in each cell of one
// axis and course.
func judgedCases(p *rows.Set, cells []results.Cell) []int {
	index := make(map[gridKey]int, len(cells))
	for i := range cells {
		index[keyOf(cells[i].By)] = i
	}
	counters, out := make([]rows.CaseCounter, len(cells)), make([]int, len(cells))
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if r.Axis != cells[0].By.Axis || r.Stratum() != cells[0].By.Course || !r.Judged(&p.Settings) {
			continue
		}
		for _, sign := range [2]int{0, signIndex(r.Direction)} {
			for _, place := range &toothPlaces[r.Tooth] {
				for _, style := range [2]int{0, styleIndex(r.Style)} {
					if at, ok := index[gridKey{sign, style, int(place)}]; ok {
						counters[at].Add(r.Cluster)
					}
				}
			}
		}
	}
	for i := range counters {
		out[i] = counters[i].N
	}
	return out
}
