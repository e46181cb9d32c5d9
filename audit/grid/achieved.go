package grid

import (
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// Achieved is what the initial courses among some of the analysed rows came to, apart by
// unit: millimetres and degrees share no mean.
func Achieved(p *rows.Set, in func(i int) bool) (out []results.UnitAchieved) {
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		var got, planned []float64 // of each case
		var cluster []int
		one := results.UnitAchieved{Unit: u}
		for i := range p.Analysed {
			r := &p.Analysed[i]
			if !r.First || r.Unit() != u || !in(i) {
				continue
			}
			one.Movements++
			if last := len(cluster) - 1; last >= 0 && cluster[last] == r.Cluster {
				got[last], planned[last] = got[last]+r.Achieved, planned[last]+r.Planned
				continue
			}
			got, planned, cluster = append(got, r.Achieved), append(planned, r.Planned), append(cluster, r.Cluster)
		}
		if len(got) == 0 {
			continue
		}
		one.Cases = len(cluster)
		one.Spread, _ = measure.Expression(got, planned, cluster, one.Cases, &p.Settings)
		out = append(out, one)
	}
	return out
}

// InAll is what was achieved of all that was planned, then by style.
func InAll(p *rows.Set) []results.StyleAchieved {
	out := []results.StyleAchieved{{Units: Achieved(p, func(int) bool { return true })}}
	for _, s := range casebook.Styles() {
		if units := Achieved(p, func(i int) bool { return p.Analysed[i].Style == s }); len(units) > 0 {
			out = append(out, results.StyleAchieved{Style: s, Units: units})
		}
	}
	return out
}
