package audit

import (
	"slices"

	"shortfall/audit/results"
)

// oneChange makes one finding on change of all of them: the quarter, what is new since an
// earlier audit, the criteria.
func oneChange(fs []results.Finding) []results.Finding {
	out := []results.Finding{}
	at := -1
	for _, f := range fs {
		switch {
		case f.Kind != "change":
			out = append(out, f)
		case at < 0:
			at = len(out)
			out = append(out, f)
		default:
			c := &out[at]
			c.Text, c.Warnings, c.Rests = c.Text+" "+f.Text, append(c.Warnings, f.Warnings...), append(c.Rests, f.Rests...)
			if c.Limits != f.Limits {
				c.Limits += " " + f.Limits
			}
		}
	}
	return out
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
		Kind: "change", Text: "What changed since last time cannot be said: neither criteria nor a quarter nor the results of an earlier audit were given.",
		Limits: "The results file of this audit is what the next one can be compared with.",
		Action: "Which criterion should the next audit be held against?",
	})
}
