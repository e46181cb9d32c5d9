package audit

import (
	"fmt"
	"strings"
)

// questionFindings are the sentences of the summary page that rest on the
// analyses beyond the grid.
func (p *prepared) questionFindings(q *Questions) []Finding {
	var out []Finding
	if f, ok := p.switchFinding(&q.Switches); ok {
		out = append(out, f)
	}
	if f, ok := criteriaFinding(&q.Reaudit); ok {
		out = append(out, f)
	}
	return out
}

// switchFinding says whether changing the style after a shortfall went with a
// better next course than keeping it.
func (p *prepared) switchFinding(s *SwitchAnalysis) (Finding, bool) {
	var clear []string
	compared := 0
	for i := range s.Contrasts {
		c := &s.Contrasts[i]
		switch c.Verdict {
		case NotComparable:
			continue
		case Higher, Lower:
			clear = append(clear, c.Reading)
		}
		compared++
	}
	if len(clear) == 0 { // page one is for what was found; the section says what was not
		return Finding{}, false
	}
	f := Finding{
		Kind: "style",
		Limits: "Movements that fell short tend to do better next time whatever is done, because part of a shortfall is chance; " +
			"so a switch is judged only against movements that fell short and kept their style. Association, not cause.",
		Action: "Is a change of feature between courses worth its time here, or is something else holding these movements back?",
	}
	followed := fmt.Sprintf("%s fell short and were planned again", count(s.Followed, "movement"))
	f.Text = fmt.Sprintf("Of %s, changing the feature style went with another next result than keeping it in %d of %s. %s",
		followed, len(clear), count(compared, "comparison"), strings.Join(clear, " "))
	return f, true
}

// criteriaFinding sums up the declared criteria.
func criteriaFinding(r *Reaudit) (Finding, bool) {
	if len(r.Criteria) == 0 {
		return Finding{}, false
	}
	by := map[Answer][]string{}
	for i := range r.Criteria {
		c := &r.Criteria[i]
		by[c.Answer] = append(by[c.Answer], c.Criterion.Name)
	}
	var parts []string
	for _, a := range []Answer{Met, NotMet, NotEnoughData} {
		if n := by[a]; len(n) > 0 {
			parts = append(parts, fmt.Sprintf("%s: %s", a, strings.Join(n, ", ")))
		}
	}
	return Finding{
		Kind: "change", Text: fmt.Sprintf("Against the practice's own %s - %s.", criteriaCount(len(r.Criteria)), strings.Join(parts, "; ")),
		Limits: "A criterion counts as met, or not met, only where its whole interval lies on one side of the target.",
		Action: "Which criterion needs an action, who owns it, and when is it audited again?",
	}, true
}

// AddSince compares the results with an earlier audit's and adds what changed,
// as data and as a finding.
func AddSince(r, earlier *Results) {
	r.Questions.Since = Compare(earlier, r)
	s := r.Questions.Since
	if len(s.Sentences) == 0 {
		return
	}
	text := "Since the audit of " + s.PreviousDate + ": " + strings.Join(s.Sentences[:min(3, len(s.Sentences))], " ")
	for i := range r.Findings { // one sentence on change: criteria and since together
		if f := &r.Findings[i]; f.Kind == "change" {
			f.Text += " " + text
			f.Warnings = append(f.Warnings, s.Warnings...)
			return
		}
	}
	f := Finding{
		Kind: "change", Text: text,
		Limits:   "Two audits differ by chance, case mix and completeness too; a change is not yet an effect of what was done.",
		Action:   "Was the change expected, and does the run chart show when it began?",
		Warnings: s.Warnings,
	}
	r.Findings = append(r.Findings, f)
}

func criteriaCount(n int) string {
	if n == 1 {
		return "criterion"
	}
	return fmt.Sprintf("%d criteria", n)
}
