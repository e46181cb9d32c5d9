package cycle

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/series"
	"shortfall/audit/stats/control"
	"shortfall/ingest/casebook"
)

// RunChart follows a measure by quarter. Centre and limits come from the
// declared baseline only; without one (or with one too short) there is a
// median line's worth of points and no limits, and it says so.
func RunChart(p *rows.Set, rule disclose.Rule, k *results.Criterion, parts []series.Part, changes []results.ProtocolChange) results.RunChart {
	out := results.RunChart{Centre: results.NotEstimable, Effect: results.NotEstimable, Baseline: k.Baseline}
	first, last := math.MaxInt, -1
	for i := range parts {
		if q := parts[i].Quarter; q == series.NoQuarter {
			out.NoQuarter += parts[i].N
		} else {
			first, last = min(first, q), max(last, q)
		}
	}
	if last < 0 {
		return out
	}
	for _, c := range changes {
		if affectedBy(k, &c) {
			out.Marks = append(out.Marks, results.RunMark{Quarter: c.Month.Quarter(), Text: c.Description})
			first, last = min(first, series.QuarterOf(c.Month)), max(last, series.QuarterOf(c.Month))
		}
	}
	for q := first; q <= last; q++ {
		out.Points = append(out.Points, runPoint(rule, q, k, parts))
	}
	if series.ThinQuarters(rule, k, parts) {
		for i := range out.Points {
			withholdPoint(&out.Points[i])
		}
		out.Warnings = append(out.Warnings, disclose.TooFewShown(&p.Settings))
		return out
	}
	setLimits(&out, k, parts, p.Settings.Questions.BaselineQuarters)
	ApplyRules(&out)
	return out
}

func affectedBy(k *results.Criterion, c *results.ProtocolChange) bool {
	return len(c.Criteria) == 0 || slices.Contains(c.Criteria, k.Name)
}

func runPoint(rule disclose.Rule, q int, k *results.Criterion, parts []series.Part) results.RunPoint {
	s := series.SumParts(parts, func(x *series.Part) bool { return x.Quarter == q })
	pt := results.RunPoint{
		Quarter: series.QuarterName(q), Cases: s.Cases, Movements: s.N, Value: measure.OrMissing(s.Value()),
		Low: results.NotEstimable, High: results.NotEstimable, Baseline: slices.Contains(k.Baseline, series.QuarterName(q)),
	}
	pt.Immature = slices.ContainsFunc(parts, func(x series.Part) bool { return x.Quarter == q && x.Immature })
	if rule.Hides(s.Cases) {
		withholdPoint(&pt)
	}
	return pt
}

func withholdPoint(pt *results.RunPoint) {
	pt.Cases, pt.Movements, pt.Value, pt.Suppressed = 0, 0, results.NotEstimable, true
}

// setLimits draws centre +- 3 standard deviations, each quarter's from its own
// size: sd = sqrt(dispersion / den).
func setLimits(c *results.RunChart, k *results.Criterion, parts []series.Part, need int) {
	inBase := func(x *series.Part) bool {
		return !x.Immature && x.Quarter != series.NoQuarter && slices.Contains(k.Baseline, series.QuarterName(x.Quarter))
	}
	base := series.SumParts(parts, inBase)
	filled := 0
	for _, pt := range c.Points {
		filled += measure.OneIf(pt.Baseline && pt.Value.OK() && !pt.Immature)
	}
	switch {
	case len(k.Baseline) == 0:
		c.Warnings = append(c.Warnings, results.Warning{
			ID: "no-baseline", Text: "no baseline is declared: the chart has no limits and no rules",
			Remedy: "name the baseline quarters in the criteria file before the next audit",
		})
		return
	case filled < need:
		c.Warnings = append(c.Warnings, results.Warning{
			ID: "short-baseline", Text: fmt.Sprintf("%d of at least %d baseline quarters hold data: the chart has no limits and no rules", filled, need),
			Remedy: "wait, or declare a longer baseline",
		})
		return
	}
	centre := base.Value()
	phi := series.Dispersion(parts, centre, inBase)
	c.Centre = measure.OrMissing(centre)
	c.Method = "centre and limits from the declared baseline; limits at 3 standard deviations, from the spread between cases within quarters"
	if k.IsShare() {
		phi = max(phi, centre*(1-centre)) // clustering can only add to the binomial variance
		c.Effect = measure.OrMissing(control.ShareEffect(phi, centre))
	}
	for i := range c.Points {
		pt := &c.Points[i]
		q := pt.Quarter
		den := series.SumParts(parts, func(x *series.Part) bool { return x.Quarter != series.NoQuarter && series.QuarterName(x.Quarter) == q }).Den
		low, high := control.SigmaLimits(centre, phi, den)
		if !pt.Value.OK() || pt.Immature || math.IsNaN(low) {
			continue
		}
		pt.Low, pt.High = results.Number(low), results.Number(high)
		if k.IsShare() {
			pt.Low, pt.High = max(0, pt.Low), min(1, pt.High)
		}
	}
}

// Evaluate answers one criterion.
func Evaluate(p *rows.Set, rule disclose.Rule, k *results.Criterion, changes []results.ProtocolChange) (results.CriterionResult, []series.Part) {
	every, undated := series.MeasureParts(p, k)
	parts := series.MatureOnly(every)
	all := series.SumParts(parts, func(*series.Part) bool { return true })
	out := results.CriterionResult{Criterion: *k, Cases: all.Cases, Movements: all.N, Observed: measure.NoSpread()}
	out.Observed.Value = measure.OrMissing(all.Value())
	out.Chart = RunChart(p, rule, k, every, changes)
	s := &p.Settings
	switch {
	case series.ThinParts(rule, k, parts):
		out.Cases, out.Movements, out.Observed, out.Chart = 0, 0, measure.NoSpread(), results.RunChart{Centre: results.NotEstimable, Effect: results.NotEstimable}
		out.Warnings = append(out.Warnings, disclose.TooFewShown(s))
	case all.Cases < s.MinIntervalCases:
		out.Warnings = append(out.Warnings, measure.FewCases(s.MinIntervalCases))
	default:
		out.Observed, out.Method, out.Warnings = Observe(p, k, parts)
	}
	if undated > 0 && !rule.Applies() {
		out.Warnings = append(out.Warnings, undatedWarning(k, undated))
	}
	if n := len(every) - len(parts); n > 0 && !rule.Applies() {
		out.Warnings = append(out.Warnings, immatureWarning(p, k, n))
	}
	if k.Measure == results.CasesRefined && len(parts) > 0 && parts[0].Undated {
		out.Warnings = append(out.Warnings, results.Warning{
			ID: "no-months", Text: "no months to follow cases from their start: completed cases are counted as they are, whenever they were refined",
			Remedy: "record when cases and courses begin",
		})
	}
	out.Answer = AnswerTo(k, out.Observed)
	out.Reading = readCriterion(p, &out)
	return out, every
}

func undatedWarning(k *results.Criterion, n int) results.Warning {
	if k.Measure == results.CasesRefined {
		return results.Warning{
			ID: "not-followed", Text: wording.Of(n, "case") + " left out: a month of start, refinement or end, or the status, is not on record or out of order",
			Remedy: "record status, start, end and when courses begin",
		}
	}
	return results.Warning{
		ID: "no-month", Text: fmt.Sprintf("%d left out: no month on record, so they cannot be shown to be from %v on", n, k.From),
		Remedy: "record when courses begin",
	}
}

func immatureWarning(p *rows.Set, k *results.Criterion, n int) results.Warning {
	if k.Measure == results.CasesRefined {
		return results.Warning{
			ID: "immature", Text: fmt.Sprintf("%s started less than %d months before the last look at their practice: not judged yet", wording.Of(n, "case"), k.Horizon(&p.Settings)),
			Remedy: "audit again later",
		}
	}
	return results.Warning{
		ID: "immature", Text: fmt.Sprintf("%s of quarters in which more than a fifth of the plan is still under treatment: not judged yet", wording.Of(n, "movement")),
		Remedy: "audit again later",
	}
}

// AnswerTo needs the whole interval on one side of the target.
func AnswerTo(k *results.Criterion, x results.Spread) results.Answer {
	t := results.Number(k.Target())
	switch {
	case !x.Low.OK() || !x.High.OK():
		return results.NotEnoughData
	case k.AtMost != nil && x.High <= t, k.AtLeast != nil && x.Low >= t:
		return results.Met
	case k.AtMost != nil && x.Low > t, k.AtLeast != nil && x.High < t:
		return results.NotMet
	}
	return results.NotEnoughData
}

// formatMeasure a value of the measure: shares and expression as whole percent,
// amounts with their unit.
func formatMeasure(k *results.Criterion, x float64) string {
	if k.Measure == results.MeanShortfallOf {
		if k.AxisMeant().Unit() == casebook.Millimetre {
			return wording.Fixed(results.Number(x), 2) + " mm"
		}
		return wording.Fixed(results.Number(x), 1) + "°"
	}
	return wording.Fixed(results.Number(100*x), 0) + " %"
}

func readCriterion(p *rows.Set, r *results.CriterionResult) string {
	k := &r.Criterion
	bound := "at most"
	if k.AtLeast != nil {
		bound = "at least"
	}
	what := map[results.Measure]string{
		results.OutsideTolerance: "outside tolerance", results.ExpressionRatio: "of the plan expressed",
		results.MeanShortfallOf: "short on average", results.CasesRefined: fmt.Sprintf("of cases refined within %d months of their start", k.Horizon(&p.Settings)),
	}[k.Measure]
	if slices.ContainsFunc(r.Warnings, func(w results.Warning) bool { return w.ID == "no-months" }) {
		what = "of completed cases refined"
	}
	if !r.Observed.Value.OK() {
		return fmt.Sprintf("%s: %s. Target %s %s; nothing to compare it with yet.", k.Name, r.Answer, bound, formatMeasure(k, k.Target()))
	}
	size := wording.Of(r.Cases, "case")
	if k.Measure != results.CasesRefined {
		size = wording.Of(r.Movements, "movement") + " in " + size
	}
	s := fmt.Sprintf("%s: %s. %s %s", k.Name, r.Answer, formatMeasure(k, float64(r.Observed.Value)), what)
	if r.Observed.Low.OK() {
		s += fmt.Sprintf(" (%s %s to %s; %s)", wording.CI(p.Settings.Level), strings.TrimSuffix(formatMeasure(k, float64(r.Observed.Low)), " %"), formatMeasure(k, float64(r.Observed.High)), size)
	} else {
		s += fmt.Sprintf(" (%s)", size)
	}
	s += fmt.Sprintf("; target %s %s.", bound, formatMeasure(k, k.Target()))
	if r.Answer == results.NotEnoughData && r.Observed.Low.OK() {
		s += " The interval takes in the target, so this audit cannot say."
	}
	return s
}
