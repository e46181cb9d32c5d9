// Package funnels asks how far clinicians and practices lie apart, by code, against
// what chance alone would do, and ranks no one.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package funnels

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"shortfall/audit/disclose"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/audit/stats/control"
	"shortfall/ingest/casebook"
)

// clinicians are the units of which the codes can be people.
const clinicians = "clinician"

// Answer compares clinicians, and practices, by codes only: the share of
// completed cases refined and the share of movements outside tolerance of
// first sets.
func Answer(p *rows.Set) []results.Funnel { return answerUnder(p, disclose.Rule{}) }

// answerUnder computes the funnels that a rule lets be shown: what is thin depends on the
// cases behind the points, which the results no longer tell.
func answerUnder(p *rows.Set, rule disclose.Rule) []results.Funnel {
	criteria := []*results.Criterion{
		{Measure: results.CasesRefined},
		{Measure: results.OutsideTolerance, Course: results.Initial},
	}
	var parts [2][]series.Part
	for i, k := range criteria {
		parts[i] = series.MatureOnly(series.MeasureMonths(p, k))
	}
	var out []results.Funnel
	for _, unit := range []struct {
		name string
		code func(*casebook.Case) string
	}{
		{clinicians, p.UnitCode},
		{"practice", func(c *casebook.Case) string { return c.Practice }},
	} {
		for i, k := range criteria {
			out = append(out, funnel(p, rule, unit.name, unit.code, k, parts[i]))
		}
	}
	return out
}

func funnel(p *rows.Set, rule disclose.Rule, units string, code func(*casebook.Case) string, k *results.Criterion, parts []series.Part) results.Funnel {
	measure := fmt.Sprintf("cases refined within %d months of their start", k.Horizon(&p.Settings))
	if k.Measure == results.OutsideTolerance {
		measure = "movements outside tolerance, first sets"
	}
	out := results.Funnel{Units: units, Measure: measure, Target: results.NotEstimable, Phi: results.NotEstimable, Effect: results.NotEstimable}
	byCode := map[string][]series.Part{}
	without := map[int]bool{}
	if len(parts) > 0 && parts[0].Undated {
		out.Measure = "completed cases with at least one refinement"
	}
	for _, x := range parts {
		name := ""
		if c := p.Cases[x.Cluster].Log; c != nil {
			name = code(c)
		}
		if name == "" {
			without[x.Cluster] = true
			continue
		}
		byCode[name] = append(byCode[name], x)
	}
	out.Unknown = len(without)
	if rule.Small(out.Unknown) {
		out.Unknown, out.UnknownSuppressed = 0, true
	}
	Draw(p, &out, k, byCode)
	if out.Shown && thinFunnel(p, rule, k, parts, byCode, out.Points) {
		withholdFunnel(&out, p.Settings.MinCellCases)
	}
	return out
}

// Draw places the units that are large enough.
func Draw(p *rows.Set, f *results.Funnel, k *results.Criterion, byCode map[string][]series.Part) {
	q, all := p.Settings.Questions, []series.Part{}
	everyone := func(*series.Part) bool { return true }
	for name, parts := range byCode {
		s := series.SumParts(parts, everyone)
		if s.Cases < max(q.FunnelMinCases, p.Settings.MinCellCases) {
			f.LeftOut++
			continue
		}
		f.Points = append(f.Points, results.FunnelPoint{Code: name, Cases: s.Cases, Total: s.N, Events: int(s.Num), Value: results.Number(s.Value())})
	}
	slices.SortFunc(f.Points, func(a, b results.FunnelPoint) int { return cmp.Compare(a.Code, b.Code) })
	for _, pt := range f.Points {
		all = append(all, byCode[pt.Code]...)
	}
	if len(f.Points) < q.FunnelMinUnits {
		f.Reason = fmt.Sprintf("a funnel plot needs %d %ss of at least %d cases each; %d so far", q.FunnelMinUnits, f.Units, q.FunnelMinCases, len(f.Points))
		f.Points = nil
		return
	}
	target := series.SumParts(all, everyone).Value()
	f.Target = results.Number(target)
	if !(target > 0 && target < 1) {
		f.Reason = "every " + f.Units + " has the same share, all or none: there is nothing to compare"
		f.Points = nil
		return
	}
	f.Shown = true
	effect := 1.0
	if k.Measure == results.OutsideTolerance { // movements of a case are alike; cases are not
		effect = withinEffect(f.Points, byCode, target)
	}
	f.Effect = results.Number(effect)
	Place(f, effect)
	Read(f, p.Settings.Questions.FunnelMinCases)
}

// withinEffect is the design effect of clustering by case inside the units,
// each about its own share.
func withinEffect(points []results.FunnelPoint, byCode map[string][]series.Part, target float64) float64 {
	var residual, size []float64
	var unit []int
	for _, pt := range points { // a case has one code, so its rows lie within one unit
		for _, x := range byCode[pt.Code] {
			residual, size, unit = append(residual, x.Num-float64(pt.Value)*x.Den), append(size, x.Den), append(unit, x.Cluster)
		}
	}
	phi, err := control.Dispersion(residual, size, unit, len(points))
	if err != nil {
		return math.NaN()
	}
	return control.ShareEffect(phi, target)
}
