package audit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
)

// switchFinding says whether changing the style after a shortfall went with a
// better next course than keeping it. Page one is for what was found; the
// section says what was not.
func switchFinding(p *rows.Set, s *results.SwitchAnalysis) (results.Finding, bool) {
	var clear []*results.GroupComparison
	compared := 0
	for i := range s.Contrasts {
		c := &s.Contrasts[i]
		compared += measure.OneIf(c.Verdict != results.NotComparable)
		if (c.Verdict == results.Higher || c.Verdict == results.Lower) && !c.Suppressed {
			clear = append(clear, c)
		}
	}
	if len(clear) == 0 {
		return results.Finding{}, false
	}
	c := slices.MinFunc(clear, func(a, b *results.GroupComparison) int { return cmp.Compare(a.Adjusted.P, b.Adjusted.P) })
	d, low, high, word := 100*float64(c.Adjusted.Difference), 100*float64(c.Adjusted.Low), 100*float64(c.Adjusted.High), "more"
	if d < 0 {
		d, low, high, word = -d, -high, -low, "less"
	}
	return results.Finding{
		Kind: "switch",
		Text: fmt.Sprintf("After a shortfall in %s, movements %s went with %s %s at the next course than those that %s (%s %s to %s, adjusted; %d and %s); %d of %s were beyond chance.",
			c.By.Axis, c.Group.Name, wording.InPoints(d), word, c.Reference.Name, wording.CI(p.Settings.Level), wording.Rounded(low), wording.Rounded(high), c.Group.Cases, wording.Counted(c.Reference.Cases, "case"), len(clear), wording.Counted(compared, "comparison")),
		Limits: "Movements that fell short do better next time whatever is done; so they are set against those that kept their style.",
		Action: "Is a change of feature between courses worth its time here, or is something else holding these movements back?",
	}, true
}

// criteriaFinding sums up the declared criteria.
func criteriaFinding(r *results.Reaudit) (results.Finding, bool) {
	if len(r.Criteria) == 0 {
		return results.Finding{}, false
	}
	by := map[results.Answer][]string{}
	for i := range r.Criteria {
		c := &r.Criteria[i]
		by[c.Answer] = append(by[c.Answer], c.Criterion.Name)
	}
	var parts []string
	for _, a := range []results.Answer{results.Met, results.NotMet, results.NotEnoughData} {
		if n := by[a]; len(n) > 0 {
			parts = append(parts, fmt.Sprintf("%s: %s", a, strings.Join(n, ", ")))
		}
	}
	return results.Finding{
		Kind: "change", Text: fmt.Sprintf("Of %s of the practice's own, %s.", criteriaCount(len(r.Criteria)), strings.Join(parts, "; ")),
		Limits: "A criterion counts as met, or not met, only where its whole interval lies on one side of the target.",
		Action: "Which criterion needs an action, who owns it, and when is it audited again?",
	}, true
}

// AddSince compares the results with an earlier audit's and adds what changed,
// as data and as a finding.
func AddSince(r, earlier *results.Results) {
	r.Questions.Since = Compare(earlier, r)
	s := r.Questions.Since
	if len(s.Sentences) == 0 {
		return
	}
	const limits = "Two audits differ by chance, case mix and completeness too; a change is not yet an effect of what was done."
	text := "Since the audit of " + s.PreviousDate + ": " + strings.Join(s.Sentences[:min(2, len(s.Sentences))], " ")
	f := results.Finding{
		Kind: "change", Text: text, Limits: limits, Warnings: s.Warnings,
		Action: "Was the change expected, and does the run chart show when it began?",
	}
	i := slices.IndexFunc(r.Findings, func(f results.Finding) bool { return f.Kind == "change" })
	switch {
	case i < 0:
		r.Findings = atMostFive(append(r.Findings, f))
	case len(r.Questions.Reaudit.Criteria) == 0: // it says that nothing can be said
		r.Findings[i] = f
	default: // one finding on change: criteria and since together
		c := &r.Findings[i]
		c.Text, c.Limits, c.Warnings = c.Text+" "+text, c.Limits+" "+limits, append(c.Warnings, s.Warnings...)
	}
}

// unknownChange says that there is nothing to measure change against; it goes
// before the finding on quality, where page one has room for it.
func unknownChange(fs []results.Finding) []results.Finding {
	if len(fs) == 0 || len(fs) >= mostFindings || slices.ContainsFunc(fs, func(f results.Finding) bool { return f.Kind == "change" }) {
		return fs
	}
	at := len(fs)
	if fs[at-1].Kind == "quality" {
		at--
	}
	return slices.Insert(fs, at, results.Finding{
		Kind: "change", Text: "What changed since last time cannot be said: neither criteria nor the results of an earlier audit were given.",
		Limits: "The results file of this audit is what the next one can be compared with.",
		Action: "Which criterion should the next audit be held against?",
	})
}

func criteriaCount(n int) string {
	if n == 1 {
		return "1 criterion"
	}
	return fmt.Sprintf("%d criteria", n)
}
