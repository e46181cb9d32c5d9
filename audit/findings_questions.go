package audit

import (
	"slices"
	"strings"

	"shortfall/audit/results"
)

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
