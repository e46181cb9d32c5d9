// Package replanned asks which planned movements had to be planned again.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package replanned

import (
	"cmp"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Answer counts, over the movements planned in the initial course of
// completed cases, how many were planned again, in the same direction and to a
// meaningful amount, in the next course. The outcome need not be on record.
func Answer(p *rows.Set) []results.Replanned {
	type group struct {
		again   []bool
		cluster []int
	}
	var groups [casebook.AxisCount + 1][casebook.StyleCount + 1]group // axis (0: all), style
	onRecord := p.IndexOrder()
	for i, m := range p.Order {
		c := p.Cases[p.ClusterOf[i]].Log
		if m.Course > 1 || c == nil || c.Status != casebook.Completed || m.Style == casebook.NoStyle || !p.Meaningful(m) || !p.InPeriod(c.End) {
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

// SameMouth sets the styles against each other by what was planned again, within the
// mouths that hold both: styles belong to teeth, and how often a case is refined follows
// the patient. Initial courses of completed cases, not cut short; the outcome need not be
// on record.
func SameMouth(p *rows.Set) *results.SharesWithin {
	var list []*rows.Row
	for _, from := range [][]rows.Row{p.Analysed, p.Missing} {
		for i := range from {
			if r := &from[i]; r.First && rows.Featured(r) && p.Cases[r.Cluster].Log != nil && p.Log(r).Status == casebook.Completed {
				list = append(list, r)
			}
		}
	}
	onRecord := p.IndexOrder()
	out := between.ShareWithinMouths(p, list, func(r *rows.Row) bool { return plannedAgain(p, onRecord, r.Cluster, r.Movement) })
	if out != nil {
		out.Reading = between.ReadShares(&p.Settings, out, "planned again")
	}
	return out
}

// plannedAgain finds the same tooth and axis in the next course.
func plannedAgain(p *rows.Set, onRecord rows.CaseIndex, c int, m *casebook.Movement) bool {
	at := onRecord.Find(c, max(m.Course, 1)+1, m.Tooth, m.Axis)
	return at >= 0 && p.Meaningful(p.Order[at]) && cmp.Compare(p.Order[at].Planned, 0) == cmp.Compare(m.Planned, 0)
}

// withhold hides small cells of axis x style and its margin over axes.
func withhold(p *rows.Set, rs []results.Replanned) {
	hide := disclose.HiddenWithMargin(len(rs), p.Settings.MinCellCases, func(i int) (group, part, cases int) {
		return int(rs[i].Style), int(rs[i].Axis), disclose.CasesTold(rs[i].Cases, rs[i].Again.Numerator, rs[i].Again.Denominator)
	})
	for i := range rs {
		if hide[i] {
			rs[i] = results.Replanned{Axis: rs[i].Axis, Style: rs[i].Style, Again: measure.NoShare(), Suppressed: true}
		}
	}
}
