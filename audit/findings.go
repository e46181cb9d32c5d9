package audit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// findings are the sentences of the summary page: what fell short, whether the
// choice of feature mattered and how sure that is, what it cost, and how far
// the data carry. They are decided here, from what the results may show.
func (p *prepared) findings(r *Results) []Finding {
	out := []Finding{}
	add := func(f Finding, ok bool) {
		if ok {
			out = append(out, f)
		}
	}
	add(p.shortFinding(r))
	add(p.primaryFinding(r))
	add(p.styleFinding(r))
	add(p.refinementFinding(r))
	add(p.qualityFinding(r))
	return out
}

// shortFinding names the direction and tooth class that expressed least.
func (p *prepared) shortFinding(r *Results) (Finding, bool) {
	var worst *Cell
	judged := 0
	for i := range r.Expression {
		c := &r.Expression[i]
		b := c.By
		if c.Suppressed || !c.High.OK() || b.Course != Initial || b.Direction == casebook.NoDirection ||
			b.ToothClass == casebook.NoClass || b.Arch != casebook.NoArch || b.Style != casebook.NoStyle {
			continue
		}
		judged++
		if c.High < 1 && (worst == nil || c.Estimate < worst.Estimate) {
			worst = c
		}
	}
	if worst == nil {
		return Finding{}, false
	}
	f := Finding{
		Kind: "short",
		Text: fmt.Sprintf("%s expressed %s of the planned %s in initial courses (%s %s to %s; %s in %s); %s ended more than %g%s away.",
			capitalised(worst.By.ToothClass.String())+"s", percent(worst.Estimate), worst.By.Direction, p.ci(), plainPercent(worst.Low), plainPercent(worst.High),
			count(worst.Movements, "movement"), count(worst.Cases, "case"), inTen(worst.OutsideTolerance.Value),
			p.settings.Tolerance(worst.Unit), unitText(worst.Unit)),
		Limits:   "It does not say why. " + lowestOf(judged),
		Action:   "Would you plan, stage or support these movements differently, and what should the next audit then show?",
		Warnings: worst.Warnings,
	}
	return f, true
}

func lowestOf(judged int) string {
	if judged == 1 {
		return "It is the only combination of tooth class and direction with enough cases."
	}
	return fmt.Sprintf("It is the lowest of %d combinations of tooth class and direction with enough cases, and the lowest of many is partly chance.", judged)
}

// primaryFinding reports the comparison declared beforehand.
func (p *prepared) primaryFinding(r *Results) (Finding, bool) {
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if !c.Primary {
			continue
		}
		text := c.Reading
		if c.Verdict == NotComparable || text == "" {
			text = cellName(c.By, p.settings.Notation) + ": the two styles are not comparable" + lastReason(c) + "."
		}
		return Finding{
			Kind: "style", Text: "The comparison declared beforehand. " + text, Limits: associationLimit(c),
			Action: "Does this answer the question the audit was set up for?", Warnings: c.Warnings,
		}, true
	}
	return Finding{}, false
}

func lastReason(c *Comparison) string {
	if n := len(c.Warnings); n > 0 {
		return " (" + c.Warnings[n-1].Text + ")"
	}
	return ""
}

func associationLimit(c *Comparison) string {
	s := "An association: the styles were chosen, not allocated."
	if c.EValue.Sentence != "" && c.Verdict != NotDistinguishable {
		s += " " + c.EValue.Sentence
	}
	return s
}

// styleFinding sums up the grid of comparisons.
func (p *prepared) styleFinding(r *Results) (Finding, bool) {
	var higher, lower, open []*Comparison
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if c.Primary || c.By.Arch != casebook.NoArch || c.Reading == "" {
			continue
		}
		switch c.Verdict {
		case Higher:
			higher = append(higher, c)
		case Lower:
			lower = append(lower, c)
		case NotDistinguishable:
			open = append(open, c)
		}
	}
	judged := len(higher) + len(lower) + len(open)
	f := Finding{Kind: "style", Limits: "An association: the styles were chosen, not allocated."}
	switch {
	case len(r.Comparisons) == 0:
		return f, false
	case judged == 0:
		f.Text = "Whether the choice of feature mattered cannot be judged yet: no comparison has enough comparable cases in both styles."
		f.Action = "Would you record the feature style of every tooth, and audit again with more cases?"
	case len(higher)+len(lower) == 0:
		f.Text = fmt.Sprintf("In none of %s could the two feature styles be told apart after adjustment; differences from about %.0f points on could have been seen in the middle one.",
			count(judged, "comparison"), 100*medianDetectable(open))
		f.Limits = "Not distinguishable is not the same as equal. " + f.Limits
		f.Action = "Is a smaller difference worth waiting for more cases?"
	default:
		strongest := strongestOf(append(slices.Clone(higher), lower...))
		f.Text = fmt.Sprintf("In %d of %s the two feature styles could be told apart after adjustment: clinician-designed went with more of the plan in %d and with less in %d. The clearest: %s",
			len(higher)+len(lower), count(judged, "comparison"), len(higher), len(lower), strongest.Reading)
		f.Limits, f.Warnings = associationLimit(strongest), strongest.Warnings
		f.Action = "Should the choice of feature for these movements be reviewed case by case, and re-audited?"
	}
	return f, true
}

func medianDetectable(cs []*Comparison) float64 {
	var d []float64
	for _, c := range cs {
		if c.Detectable.OK() {
			d = append(d, float64(c.Detectable))
		}
	}
	if len(d) == 0 {
		return math.NaN()
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// strongestOf is the comparison with the smallest P; the first of equals.
func strongestOf(cs []*Comparison) *Comparison {
	return slices.MinFunc(cs, func(a, b *Comparison) int {
		switch {
		case a.Adjusted.P < b.Adjusted.P:
			return -1
		case a.Adjusted.P > b.Adjusted.P:
			return 1
		}
		return 0
	})
}

// refinementFinding says what shortfall cost.
func (p *prepared) refinementFinding(r *Results) (Finding, bool) {
	f := &r.Refinements
	if f.Cases == 0 || !f.AtLeastOne.Value.OK() {
		return Finding{}, false
	}
	text := fmt.Sprintf("%s of %s went on to at least one refinement", percent(f.AtLeastOne.Value), count(f.Cases, "completed case"))
	if f.AtLeastOne.Low.OK() {
		text += fmt.Sprintf(" (%s %s to %s)", p.ci(), plainPercent(f.AtLeastOne.Low), plainPercent(f.AtLeastOne.High))
	}
	if f.Mean.Low.OK() {
		text += fmt.Sprintf("; %.1f refinements a case on average (%s %.1f to %.1f)", float64(f.Mean.Value), p.ci(), float64(f.Mean.Low), float64(f.Mean.High))
	}
	text += "."
	if rr := f.RateRatio; rr.Low.OK() {
		text += fmt.Sprintf(" With mainly clinician-designed initial features the adjusted rate was %.2f times that with mainly software-suggested ones (%s %.2f to %.2f).",
			float64(rr.Difference), p.ci(), float64(rr.Low), float64(rr.High))
	}
	return Finding{
		Kind: "refinements", Text: text,
		Limits:   "Completed cases only; a refinement is also a wish of patient and clinician, not only a shortfall.",
		Action:   "Which movements planned again could have been seen coming at the first plan?",
		Warnings: f.Warnings,
	}, true
}

// qualityFinding says how far the data carry.
func (p *prepared) qualityFinding(r *Results) (Finding, bool) {
	f := Finding{Kind: "quality", Limits: "What was never recorded cannot be seen here."}
	var parts []string
	if n := r.Flow.CasesLogged; n > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s in the log (%s) contribute a measured movement", r.Flow.Ascertained.Numerator, count(n, "case"), percent(r.Flow.Ascertained.Value)))
	}
	if planned := len(p.analysed) + len(p.missing); planned > 0 {
		parts = append(parts, fmt.Sprintf("%s of %s have no measured outcome", percent(Number(float64(len(p.missing))/float64(planned))), count(planned, "planned movement")))
	}
	for _, e := range r.Repeats {
		if e.SmallestDetectable.OK() {
			parts = append(parts, fmt.Sprintf("differences below %.2g%s are within the error of measurement", float64(e.SmallestDetectable), unitText(e.Unit)))
		}
	}
	if len(parts) == 0 {
		return f, false
	}
	f.Text = capitalised(strings.Join(parts, "; ")) + "."
	f.Action = "Who is missing, and could their outcomes still be measured?"
	if len(p.ds.Repeats) == 0 {
		f.Action = "Would you measure at least 25 movements twice, so that the error of measurement is known?"
	}
	return f, true
}
