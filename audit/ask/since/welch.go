package since

import (
	"shortfall/audit/between"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/robust"
)

// saved sets the numbers of both audits against each other by direction and course, as
// independent estimates: nothing tells which records are new.
func saved(before, now *results.Results) *results.InTime {
	out := &results.InTime{
		Now: results.Stretch{Name: "this audit", Cases: now.Scope.Cases, Movements: now.Scope.Movements}, Before: results.Stretch{Name: "before", Cases: before.Scope.Cases, Movements: before.Scope.Movements},
	}
	old := map[results.By]*results.Cell{}
	for i := range before.Expression {
		if c := &before.Expression[i]; grid.AllTeethAndStyles(c) {
			old[c.By] = c
		}
	}
	s := &now.Provenance.Settings
	var ps []float64
	for i := range now.Expression {
		c := &now.Expression[i]
		was := old[c.By]
		if was == nil || !grid.AllTeethAndStyles(c) {
			continue
		}
		m := MeasureChange(was.Estimate, was.SE, was.DF, c.Estimate, c.SE, c.DF, s.Level)
		out.Cells = append(out.Cells, results.CellChange{By: c.By, CasesBefore: was.Cases, CasesAfter: c.Cases, MovementsBefore: was.Movements, MovementsAfter: c.Movements, MeasureChange: m})
		ps = append(ps, float64(m.P))
	}
	for i, p := range decide.Holm(ps) {
		out.Cells[i].PAdjusted, out.Cells[i].Changed = measure.OrMissing(p), p < s.Alpha
	}
	return out
}

// MeasureChange is the difference of two independent estimates.
func MeasureChange(a, seA, dfA, b, seB, dfB results.Number, level float64) results.MeasureChange {
	out := between.NoChange(a, b)
	e, err := robust.WelchDifference(
		stats.Estimate{Value: float64(b), SE: float64(seB), DF: float64(dfB)},
		stats.Estimate{Value: float64(a), SE: float64(seA), DF: float64(dfA)}, level)
	if err != nil {
		return out
	}
	out.Low, out.High, out.P = measure.OrMissing(e.Low), measure.OrMissing(e.High), measure.OrMissing(e.P)
	return out
}

func compareRefinements(s *results.Since, before, now *results.Results) {
	a, b := before.Refinements.Mean, now.Refinements.Mean
	if !a.Value.OK() || !b.Value.OK() || !a.SE.OK() || !b.SE.OK() {
		return
	}
	m := MeasureChange(a.Value, a.SE, a.DF, b.Value, b.SE, b.DF, now.Provenance.Settings.Level)
	m.PAdjusted = m.P
	m.Changed = m.P.OK() && float64(m.P) < now.Provenance.Settings.Alpha
	s.Refinements = &m
}
