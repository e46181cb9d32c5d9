package audit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// sigmaLimit is where the control limits stand, in standard deviations
// (Shewhart 1931, Economic Control of Quality; from memory).
const sigmaLimit = 3

// runChart follows a measure by quarter. Centre and limits come from the
// declared baseline only; without one (or with one too short) there is a
// median line's worth of points and no limits, and it says so.
func (p *prepared) runChart(k *Criterion, parts []part, changes []ProtocolChange) RunChart {
	out := RunChart{Centre: NotEstimable, Effect: NotEstimable, Baseline: k.Baseline}
	first, last := math.MaxInt, -1
	for i := range parts {
		if q := parts[i].quarter; q == noQuarter {
			out.NoQuarter += parts[i].n
		} else {
			first, last = min(first, q), max(last, q)
		}
	}
	if last < 0 {
		return out
	}
	for _, c := range changes {
		if k.affectedBy(&c) {
			out.Marks = append(out.Marks, RunMark{Quarter: c.Month.Quarter(), Text: c.Description})
			first, last = min(first, quarterOf(c.Month)), max(last, quarterOf(c.Month))
		}
	}
	for q := first; q <= last; q++ {
		out.Points = append(out.Points, p.runPoint(q, k, parts))
	}
	if p.thinQuarters(k, parts) {
		for i := range out.Points {
			pt := &out.Points[i]
			pt.Cases, pt.Movements, pt.Value = 0, 0, NotEstimable
		}
		out.Warnings = append(out.Warnings, tooFewShown(&p.settings))
		return out
	}
	out.setLimits(k, parts, p.settings.Questions.BaselineQuarters)
	out.applyRules()
	return out
}

func (k *Criterion) affectedBy(c *ProtocolChange) bool {
	return len(c.Criteria) == 0 || slices.Contains(c.Criteria, k.Name)
}

func (p *prepared) runPoint(q int, k *Criterion, parts []part) RunPoint {
	s := sumParts(parts, func(x *part) bool { return x.quarter == q })
	pt := RunPoint{
		Quarter: quarterName(q), Cases: s.cases, Movements: s.n, Value: orMissing(s.value()),
		Low: NotEstimable, High: NotEstimable, Baseline: slices.Contains(k.Baseline, quarterName(q)),
	}
	if p.settings.Shared && s.cases < p.settings.MinCellCases {
		pt.Cases, pt.Movements, pt.Value = 0, 0, NotEstimable
	}
	return pt
}

// setLimits draws centre +- 3 standard deviations, each quarter's from its own
// size: sd = sqrt(dispersion / den).
func (c *RunChart) setLimits(k *Criterion, parts []part, need int) {
	inBase := func(x *part) bool {
		return x.quarter != noQuarter && slices.Contains(k.Baseline, quarterName(x.quarter))
	}
	base := sumParts(parts, inBase)
	filled := 0
	for _, pt := range c.Points {
		filled += oneIf(pt.Baseline && pt.Value.OK())
	}
	switch {
	case len(k.Baseline) == 0:
		c.Warnings = append(c.Warnings, Warning{
			"no-baseline", "no baseline is declared: the chart has no limits and no rules",
			"name the baseline quarters in the criteria file before the next audit",
		})
		return
	case filled < need:
		c.Warnings = append(c.Warnings, Warning{
			"short-baseline", fmt.Sprintf("%d of at least %d baseline quarters hold data: the chart has no limits and no rules", filled, need),
			"wait, or declare a longer baseline",
		})
		return
	}
	centre := base.value()
	phi := dispersion(parts, centre, inBase)
	c.Centre = orMissing(centre)
	c.Method = "centre and limits from the declared baseline; limits at 3 standard deviations, from the spread between cases within quarters"
	if k.isShare() {
		phi = max(phi, centre*(1-centre)) // clustering can only add to the binomial variance
		c.Effect = orMissing(designEffectOf(phi, centre))
	}
	for i := range c.Points {
		pt := &c.Points[i]
		q := pt.Quarter
		den := sumParts(parts, func(x *part) bool { return x.quarter != noQuarter && quarterName(x.quarter) == q }).den
		if !pt.Value.OK() || !(den > 0) || !(phi > 0) {
			continue
		}
		half := sigmaLimit * math.Sqrt(phi/den)
		pt.Low, pt.High = Number(centre-half), Number(centre+half)
		if k.isShare() {
			pt.Low, pt.High = max(0, pt.Low), min(1, pt.High)
		}
	}
}

// evaluate answers one criterion.
func (p *prepared) evaluate(k *Criterion, changes []ProtocolChange) (CriterionResult, []part) {
	parts, undated := measureParts(p, k)
	all := sumParts(parts, func(*part) bool { return true })
	out := CriterionResult{Criterion: *k, Cases: all.cases, Movements: all.n, Observed: noSpread()}
	out.Observed.Value = orMissing(all.value())
	out.Chart = p.runChart(k, parts, changes)
	s := &p.settings
	switch {
	case s.Shared && p.thinParts(k, parts):
		out.Cases, out.Movements, out.Observed, out.Chart = 0, 0, noSpread(), RunChart{Centre: NotEstimable, Effect: NotEstimable}
		out.Warnings = append(out.Warnings, tooFewShown(s))
	case all.cases < s.MinIntervalCases:
		out.Warnings = append(out.Warnings, fewCases(s.MinIntervalCases))
	default:
		out.Observed, out.Method, out.Warnings = p.observe(k, parts)
	}
	if undated > 0 && !s.Shared {
		out.Warnings = append(out.Warnings, Warning{
			"no-month", fmt.Sprintf("%d left out: no month on record, so they cannot be shown to be from %v on", undated, k.From),
			"record when courses begin",
		})
	}
	out.Answer = k.answer(out.Observed)
	out.Reading = p.readCriterion(&out)
	return out, parts
}

// answer needs the whole interval on one side of the target.
func (k *Criterion) answer(x Spread) Answer {
	t := Number(k.target())
	switch {
	case !x.Low.OK() || !x.High.OK():
		return NotEnoughData
	case k.AtMost != nil && x.High <= t, k.AtLeast != nil && x.Low >= t:
		return Met
	case k.AtMost != nil && x.Low > t, k.AtLeast != nil && x.High < t:
		return NotMet
	}
	return NotEnoughData
}

// format a value of the measure: shares and expression as whole percent,
// amounts with their unit.
func (k *Criterion) format(x float64) string {
	if k.Measure == MeanShortfallOf {
		if k.axis().Unit() == casebook.Millimetre {
			return fmt.Sprintf("%.2f mm", x)
		}
		return fmt.Sprintf("%.1f°", x)
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

func (p *prepared) readCriterion(r *CriterionResult) string {
	k := &r.Criterion
	bound := "at most"
	if k.AtLeast != nil {
		bound = "at least"
	}
	what := map[Measure]string{
		OutsideTolerance: "outside tolerance", ExpressionRatio: "of the plan expressed",
		MeanShortfallOf: "short on average", CasesRefined: "of completed cases refined",
	}[k.Measure]
	if !r.Observed.Value.OK() {
		return fmt.Sprintf("%s: %s. Target %s %s; nothing to compare it with yet.", k.Name, r.Answer, bound, k.format(k.target()))
	}
	size := count(r.Cases, "case")
	if k.Measure != CasesRefined {
		size = count(r.Movements, "movement") + " in " + size
	}
	s := fmt.Sprintf("%s: %s. %s %s", k.Name, r.Answer, k.format(float64(r.Observed.Value)), what)
	if r.Observed.Low.OK() {
		s += fmt.Sprintf(" (%s %s to %s; %s)", p.ci(), strings.TrimSuffix(k.format(float64(r.Observed.Low)), " %"), k.format(float64(r.Observed.High)), size)
	} else {
		s += fmt.Sprintf(" (%s)", size)
	}
	s += fmt.Sprintf("; target %s %s.", bound, k.format(k.target()))
	if r.Answer == NotEnoughData && r.Observed.Low.OK() {
		s += " The interval takes in the target, so this audit cannot say."
	}
	return s
}
