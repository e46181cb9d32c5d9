package audit

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/ask/cycle"
	"shortfall/audit/ask/refinements"
	"shortfall/audit/ask/switches"
	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// findings are the sentences of the summary page: what fell short, whether the
// choice of feature mattered and how sure that is, what it cost, and how far
// the data carry. They are decided here, from what the results may show, and
// kept short: the tables carry the rest.
func findings(p *rows.Set, r *results.Results) []results.Finding {
	out := []results.Finding{}
	add := func(f results.Finding, ok bool) {
		if ok {
			out = append(out, f)
		}
	}
	add(shortFinding(p, r))
	add(primaryFinding(p, r))
	add(styleFinding(p, r))
	add(refinements.Finding(p, r))
	add(switches.Finding(p, &r.Questions.Switches))
	add(cycle.Finding(&r.Questions.Reaudit))
	add(qualityFinding(p, r))
	return unknownChange(atMostFive(out))
}

// mostFindings fit on a page that is read in two minutes.
const mostFindings = 5

// atMostFive leaves out what the sections tell as well: switches first, then
// the grid of styles where a declared comparison speaks already.
func atMostFive(fs []results.Finding) []results.Finding {
	for _, kind := range []string{"switch", "style"} {
		if len(fs) <= mostFindings {
			break
		}
		for i := len(fs) - 1; i > 0; i-- {
			if fs[i].Kind == kind {
				fs = slices.Delete(fs, i, i+1)
				break
			}
		}
	}
	return fs
}

// shortFinding names the two combinations of direction and tooth class, in
// initial courses, that expressed the least share of the plan among those
// whose mean shortfall is beyond the tolerance: a low share of a small plan
// may not matter, a large shortfall may only mean a large plan.
func shortFinding(p *rows.Set, r *results.Results) (results.Finding, bool) {
	var short []*results.Cell
	var shares []float64
	for i := range r.Expression {
		c := &r.Expression[i]
		b := c.By
		if c.Suppressed || !c.High.OK() || b.Course != results.Initial || b.Direction == casebook.NoDirection ||
			b.ToothClass == casebook.NoClass || b.Arch != casebook.NoArch || b.Style != casebook.NoStyle {
			continue
		}
		shares = append(shares, float64(c.Estimate))
		if c.High < 1 && float64(c.MeanShortfall) > p.Settings.Tolerance(c.Unit) {
			short = append(short, c)
		}
	}
	if len(shares) == 0 {
		return results.Finding{}, false
	}
	slices.Sort(shares)
	middle := wording.InPercent(results.Number(shares[len(shares)/2]))
	if len(short) == 0 {
		return results.Finding{
			Kind: "short",
			Text: fmt.Sprintf("In initial courses no combination of direction and tooth class with enough cases fell short by more than the tolerance on average; the middle of %s expressed %s of the plan.",
				wording.Counted(len(shares), "combination"), middle),
			Limits: "Single movements may still fall short, and small groups are not judged.",
			Action: "Which single movements ended outside the tolerance, and why?",
		}, true
	}
	slices.SortStableFunc(short, func(a, b *results.Cell) int { return cmp.Compare(a.Estimate, b.Estimate) })
	short = short[:min(2, len(short))]
	var parts []string
	for k, c := range short {
		of, ci := "", ""
		if k == 0 {
			of, ci = " of the plan", wording.CI(p.Settings.Level)+" "
		}
		parts = append(parts, fmt.Sprintf("%s of %ss (%s%s, %s%s to %s; %s short on average; %s)",
			c.By.Direction, c.By.ToothClass, wording.InPercent(c.Estimate), of, ci, wording.BarePercent(c.Low), wording.BarePercent(c.High), wording.InUnit(c.MeanShortfall, c.Unit), wording.Counted(c.Cases, "case")))
	}
	f := results.Finding{
		Kind:   "short",
		Text:   "Initial courses fell short most in " + strings.Join(parts, " and ") + "." + fmt.Sprintf(" The middle of %d such combinations: %s.", len(shares), middle),
		Limits: "It does not say why; the lowest of many are partly so by chance.",
		Action: "Would you plan, stage or support these differently, and with what target?",
	}
	for _, c := range short {
		f.Warnings = append(f.Warnings, c.Warnings...)
	}
	return f, true
}

// primaryFinding reports the comparison declared beforehand.
func primaryFinding(p *rows.Set, r *results.Results) (results.Finding, bool) {
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if !c.Primary {
			continue
		}
		text := c.Reading
		if c.Verdict == results.NotComparable || text == "" {
			text = wording.Cell(c.By, p.Settings.Notation) + ": the two styles are not comparable" + lastReason(c) + "."
		}
		return results.Finding{
			Kind: "style", Text: "The comparison declared beforehand. " + text, Limits: associationLimit(c),
			Action: "Does this answer the question the audit was set up for?", Warnings: c.Warnings,
		}, true
	}
	return results.Finding{}, false
}

func lastReason(c *results.Comparison) string {
	if n := len(c.Warnings); n > 0 {
		return " (" + c.Warnings[n-1].Text + ")"
	}
	return ""
}

func associationLimit(c *results.Comparison) string {
	s := "An association: styles were chosen, not allocated."
	if e := c.EValue.Estimate; e.OK() && c.Verdict != results.NotDistinguishable {
		s += fmt.Sprintf(" Something unrecorded, related %.1f-fold to both choice and result, could explain the clearest difference.", float64(e))
	}
	return s
}

// styleFinding speaks of directions over all teeth in initial courses, which
// share no movement; the finer cells are in their section.
func styleFinding(p *rows.Set, r *results.Results) (results.Finding, bool) {
	var told, open []*results.Comparison
	apart := 0
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if !between.WholeDirection(c.By) || c.By.Course != results.Initial || c.Primary {
			continue
		}
		switch c.Verdict {
		case results.Higher, results.Lower:
			told = append(told, c)
		case results.NotDistinguishable:
			open = append(open, c)
		default:
			apart++
		}
	}
	f := results.Finding{Kind: "style", Limits: "An association: styles were chosen, not allocated."}
	switch {
	case len(r.Comparisons) == 0:
		return f, false
	case len(told)+len(open) == 0:
		f.Text = fmt.Sprintf("Whether the choice of feature mattered cannot be judged yet: no direction has %d comparable cases in both styles.", p.Settings.MinIntervalCases)
		f.Action = "Would you record the feature style of every tooth, and audit again with more cases?"
	case len(told) == 0:
		f.Text = fmt.Sprintf("In initial courses the two feature styles could not be told apart in any of %s, after adjustment; differences of about %.0f points of the plan could have been seen.",
			wording.Counted(len(open), "direction"), 100*medianDetectable(open))
		f.Limits = "Not distinguishable is not the same as equal. " + f.Limits
		f.Action = "Is a smaller difference worth waiting for more cases?"
	default:
		clearest := strongestOf(told)
		f.Text = toldApart(p, told) + openDirections(open, apart)
		f.Limits, f.Warnings = associationLimit(clearest), clearest.Warnings
		f.Action = "Should the choice of feature for these be reviewed case by case and re-audited?"
	}
	return f, true
}

// mostNamed differences are spelled out on page one.
const mostNamed = 3

// toldApart spells out the clearest differences: "Clinician-designed features
// went with 14 points more of the plan in extrusion (95 % CI 8 to 20), ...".
func toldApart(p *rows.Set, told []*results.Comparison) string {
	named := slices.Clone(told)
	slices.SortStableFunc(named, func(a, b *results.Comparison) int { return cmp.Compare(a.Adjusted.P, b.Adjusted.P) })
	named = named[:min(mostNamed, len(named))]
	var parts []string
	for i, c := range named {
		d, low, high, word := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High), "more"
		if d < 0 {
			d, low, high, word = -d, -high, -low, "less"
		}
		size, ci := wording.Rounded(d), ""
		if i == 0 {
			size, word, ci = wording.InPoints(d), word+" of the plan", wording.CI(p.Settings.Level)+" "
		}
		parts = append(parts, fmt.Sprintf("%s %s in %s (%s%s to %s)", size, word, c.By.Direction, ci, wording.Rounded(low), wording.Rounded(high)))
	}
	if n := len(told) - len(named); n > 0 {
		parts = append(parts, fmt.Sprintf("and differed in %d more", n))
	}
	return "In initial courses clinician-designed features went with " + strings.Join(parts, ", ") + " than software-suggested ones, adjusted."
}

// openDirections says where no difference was clear and what could have been seen.
func openDirections(open []*results.Comparison, apart int) string {
	s := ""
	if n := len(open); n > 0 {
		s = fmt.Sprintf(" No difference was clear in %s (about %s could have been seen)", otherDirections(n), wording.InPoints(100*medianDetectable(open)))
	}
	switch {
	case apart > 0 && s != "":
		s += fmt.Sprintf("; %d not comparable", apart)
	case apart > 0:
		s = fmt.Sprintf(" %s not comparable", wording.Capital(otherDirections(apart)))
	case s == "":
		return ""
	}
	return s + "."
}

func otherDirections(n int) string {
	if n == 1 {
		return "one other direction"
	}
	return fmt.Sprintf("%d other directions", n)
}

func medianDetectable(cs []*results.Comparison) float64 {
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
func strongestOf(cs []*results.Comparison) *results.Comparison {
	return slices.MinFunc(cs, func(a, b *results.Comparison) int { return cmp.Compare(a.Adjusted.P, b.Adjusted.P) })
}

// qualityFinding says how far the data carry.
func qualityFinding(p *rows.Set, r *results.Results) (results.Finding, bool) {
	f := results.Finding{Kind: "quality", Limits: "What was never recorded cannot be seen here."}
	var parts []string
	if n := r.Flow.CasesLogged; n > 0 {
		parts = append(parts, fmt.Sprintf("%d of %s in the log (%s) are measured", r.Flow.Ascertained.Numerator, wording.Counted(n, "case"), wording.InPercent(r.Flow.Ascertained.Value)))
	}
	if planned := len(p.Analysed) + len(p.Missing); planned > 0 {
		parts = append(parts, fmt.Sprintf("%s of %s have no outcome", wording.InPercent(results.Number(float64(len(p.Missing))/float64(planned))), wording.Counted(planned, "planned movement")))
	}
	var errors []string
	for _, e := range r.Repeats {
		if e.SmallestDetectable.OK() {
			errors = append(errors, fmt.Sprintf("%.2g%s", float64(e.SmallestDetectable), wording.UnitText(e.Unit)))
		}
	}
	if len(errors) > 0 {
		parts = append(parts, "differences of one movement below "+strings.Join(errors, " or ")+" are within the error of measurement")
	}
	if len(parts) == 0 {
		return f, false
	}
	f.Text = wording.Capital(strings.Join(parts, "; ")) + "."
	f.Action = "Who is missing, and could their outcomes still be measured?"
	if len(p.Dataset.Repeats) == 0 {
		f.Action = "Would you measure at least 25 movements twice, so that the error of measurement is known?"
	}
	return f, true
}
