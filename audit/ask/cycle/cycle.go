// Package cycle closes the audit cycle: criteria against targets, run charts by
// quarter, protocol changes before and after.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package cycle

import (
	"fmt"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/audit/stats"
	"shortfall/audit/stats/prop"
	"shortfall/audit/stats/robust"
	"shortfall/ingest/casebook"
)

// Observe estimates a criterion's measure with its case-clustered interval.
func Observe(p *rows.Set, k *results.Criterion, parts []series.Part) (results.Spread, string, []results.Warning) {
	num, den := make([]float64, len(parts)), make([]float64, len(parts))
	cluster, yes := make([]int, len(parts)), make([]bool, len(parts))
	events := 0
	for i := range parts {
		num[i], den[i], cluster[i], yes[i] = parts[i].Num, parts[i].Den, parts[i].Cluster, parts[i].Num == 1
		events += measure.OneIf(yes[i])
	}
	switch k.Measure {
	case results.CasesRefined: // one answer a case: they are independent
		e := prop.Wilson(events, len(parts), p.Settings.Level)
		return measure.Spread(e), e.Method, measure.Warnings(e.Warnings)
	case results.OutsideTolerance:
		sh := measure.ClusteredShare(yes, cluster, &p.Settings)
		return results.Spread{Value: sh.Value, SE: results.NotEstimable, DF: results.NotEstimable, Low: sh.Low, High: sh.High}, sh.Method, sh.Warnings
	}
	e, err := robust.RatioOfSums(num, den, cluster, p.Settings.Level)
	if err != nil {
		return measure.NoSpread(), "", []results.Warning{measure.NotEstimated(err)}
	}
	return measure.Spread(e), e.Method, measure.Warnings(e.Warnings)
}

// ChangeResult sees one protocol change through one criterion. Movements
// belong to the month their course began in; those without a month are out.
func ChangeResult(p *rows.Set, rule disclose.Rule, k *results.Criterion, c *results.ProtocolChange, parts []series.Part) results.ChangeResult {
	out := results.ChangeResult{
		Change: *c, Criterion: k.Name, ValueBefore: measure.NoSpread(), ValueAfter: measure.NoSpread(),
		Difference: measure.NoDifference(), SlopeBefore: measure.NoDifference(), Step: measure.NoDifference(), SlopeChange: measure.NoDifference(),
	}
	var dated, before, after []series.Part
	immature := 0
	for _, x := range parts {
		switch {
		case x.Immature:
			immature++
		case x.Month == 0:
		case x.Month < c.Month:
			before, dated = append(before, x), append(dated, x)
		default:
			after, dated = append(after, x), append(dated, x)
		}
	}
	out.Before, out.ValueBefore = changeArm(p, "before", k, before)
	out.After, out.ValueAfter = changeArm(p, "after", k, after)
	s := &p.Settings
	switch need := s.MinIntervalCases; {
	case rule.Hides(min(out.Before.Cases, out.After.Cases)) || series.ThinParts(rule, k, before) || series.ThinParts(rule, k, after):
		out.Before, out.After, out.ValueBefore, out.ValueAfter = results.GroupArm{Name: "before"}, results.GroupArm{Name: "after"}, measure.NoSpread(), measure.NoSpread()
		out.Warnings = append(out.Warnings, disclose.TooFewShown(s))
	case out.Before.Cases < need || out.After.Cases < need:
		out.Warnings = append(out.Warnings, results.Warning{
			ID: "few-cases-in-arm", Text: fmt.Sprintf("fewer than %d cases on one side of the change", need),
			Remedy: "audit again when more courses have begun under the new protocol",
		})
	default:
		BeforeAfter(p, &out, c, dated)
		Segmented(p, &out, c, dated)
	}
	if immature > 0 && !rule.Applies() {
		out.Warnings = append(out.Warnings, immatureWarning(p, k, immature))
	}
	out.Reading = readChange(p, k, &out)
	return out
}

func changeArm(p *rows.Set, name string, k *results.Criterion, parts []series.Part) (results.GroupArm, results.Spread) {
	all := series.SumParts(parts, func(*series.Part) bool { return true })
	arm := results.GroupArm{Name: name, Cases: all.Cases, Movements: all.N, MeanPlanned: results.NotEstimable, Expression: results.NotEstimable}
	value := measure.NoSpread()
	value.Value = measure.OrMissing(all.Value())
	if all.Cases >= p.Settings.MinIntervalCases {
		value, _, _ = Observe(p, k, parts)
	}
	return arm, value
}

// partModel is the weighted linear model of num/den with weights den, so that
// an intercept alone gives the ratio of sums; cases are the clusters.
func partModel(parts []series.Part, names []string, columns func(*series.Part) []float64) stats.LinearModel {
	m := stats.LinearModel{Names: names}
	for i := range parts {
		x := &parts[i]
		m.X = append(m.X, columns(x)...)
		m.Y, m.Weights, m.Cluster = append(m.Y, x.Num/x.Den), append(m.Weights, x.Den), append(m.Cluster, x.Cluster)
	}
	return m
}

// BeforeAfter is the difference of the two periods, a case that spans both
// counting in both (CR2 by case, Satterthwaite degrees of freedom).
func BeforeAfter(p *rows.Set, out *results.ChangeResult, c *results.ProtocolChange, parts []series.Part) {
	fit, err := robust.FitLinear(partModel(parts, []string{"before", "after"}, func(x *series.Part) []float64 {
		return []float64{1, float64(measure.OneIf(x.Month >= c.Month))}
	}), stats.CR2)
	if err != nil {
		out.Warnings = append(out.Warnings, measure.NotEstimated(err))
		return
	}
	e := fit.Contrast([]float64{0, 1}, p.Settings.Level)
	out.Difference = measure.Difference(e)
	if why := between.Usable(e); why != nil { // an interval on two or three cases is none
		out.Difference.Low, out.Difference.High, out.Difference.P = results.NotEstimable, results.NotEstimable, results.NotEstimable
		why.Remedy = "audit again with more cases"
		out.Warnings = append(out.Warnings, *why)
	}
	out.Warnings = append(out.Warnings, measure.Warnings(e.Warnings)...)
}

const monthsPerQuarter = 3

// Segmented fits level and trend before the change, the step at it and the
// difference of the trends after it, per quarter, time counted from the month
// of the change (robust.FitSegmented).
func Segmented(p *rows.Set, out *results.ChangeResult, c *results.ProtocolChange, parts []series.Part) {
	var sides [2]map[int]bool
	sides[0], sides[1] = map[int]bool{}, map[int]bool{}
	for i := range parts {
		sides[measure.OneIf(parts[i].Month >= c.Month)][parts[i].Quarter] = true
	}
	if need := p.Settings.Questions.TrendQuarters; len(sides[0]) < need || len(sides[1]) < need {
		out.Warnings = append(out.Warnings, results.Warning{
			ID: "short-trend", Text: fmt.Sprintf("a trend needs %d quarters with data on either side of the change; before %d, after %d", need, len(sides[0]), len(sides[1])),
			Remedy: "audit again when more quarters have passed",
		})
		return
	}
	m := robust.SegmentedModel{}
	for i := range parts {
		x := &parts[i]
		m.Y, m.Weights, m.Cluster = append(m.Y, x.Num/x.Den), append(m.Weights, x.Den), append(m.Cluster, x.Cluster)
		m.Time = append(m.Time, float64(x.Month-c.Month)/monthsPerQuarter)
	}
	fit, err := robust.FitSegmented(m, stats.CR2, p.Settings.Level)
	if err != nil {
		out.Warnings = append(out.Warnings, measure.NotEstimated(err))
		return
	}
	out.SlopeBefore, out.Step, out.SlopeChange = measure.Difference(fit.TrendBefore), measure.Difference(fit.Step), measure.Difference(fit.TrendChange)
	for _, e := range []results.Difference{out.SlopeBefore, out.Step, out.SlopeChange} {
		if e.DF.OK() && e.DF < between.FewestDF {
			out.Warnings = append(out.Warnings, results.Warning{
				ID: "few-degrees-of-freedom", Text: "fewer than 4 degrees of freedom: a few cases carry the trend", Remedy: "audit again with more cases",
			})
			break
		}
	}
}

func readChange(p *rows.Set, k *results.Criterion, r *results.ChangeResult) string {
	what := fmt.Sprintf("%s, change of %v (%s)", k.Name, r.Change.Month, r.Change.Description)
	if !r.Difference.Difference.OK() || !r.Difference.Low.OK() {
		return what + ": not enough data on both sides to compare yet."
	}
	verdict := "did not change by more than chance allows"
	switch {
	case r.Difference.Low > 0:
		verdict = "is higher after"
	case r.Difference.High < 0:
		verdict = "is lower after"
	}
	return fmt.Sprintf("%s: the measure %s, from %s to %s (difference %s, %s %s to %s). Other things may have changed at the same time; the trend and the run chart stand beside it.",
		what, verdict, formatMeasure(k, float64(r.ValueBefore.Value)), formatMeasure(k, float64(r.ValueAfter.Value)),
		formatChange(k, float64(r.Difference.Difference))+changeUnit(k), wording.CI(p.Settings.Level), formatChange(k, float64(r.Difference.Low)), formatChange(k, float64(r.Difference.High)))
}

// formatChange writes a difference with its sign; shares in points.
func formatChange(k *results.Criterion, x float64) string {
	switch {
	case k.Measure != results.MeanShortfallOf:
		return wording.SignedDecimal(100*x, 0)
	case k.AxisMeant().Unit() == casebook.Millimetre:
		return wording.SignedDecimal(x, 2)
	}
	return wording.SignedDecimal(x, 1)
}

// changeUnit follows a difference: " points", " mm" or "°".
func changeUnit(k *results.Criterion) string {
	if k.Measure != results.MeanShortfallOf {
		return " points"
	}
	return wording.UnitText(k.AxisMeant().Unit())
}

// Answer answers the declared criteria, if there are any.
func Answer(p *rows.Set) results.Reaudit { return answerUnder(p, disclose.Rule{}) }

// answerUnder computes what a rule lets be shown: limits and run rules rest on the quarters
// that are.
func answerUnder(p *rows.Set, rule disclose.Rule) results.Reaudit {
	c := p.Settings.Questions.Criteria
	if c == nil {
		return results.Reaudit{}
	}
	out := results.Reaudit{File: c.File, Actions: c.ActionsOf}
	parts := make([][]series.Part, len(c.Criteria))
	for i := range c.Criteria {
		var r results.CriterionResult
		r, parts[i] = Evaluate(p, rule, &c.Criteria[i], c.Changes)
		out.Criteria = append(out.Criteria, r)
	}
	for j := range c.Changes {
		for i := range c.Criteria {
			if k := &c.Criteria[i]; affectedBy(k, &c.Changes[j]) {
				out.Changes = append(out.Changes, ChangeResult(p, rule, k, &c.Changes[j], parts[i]))
			}
		}
	}
	return out
}
