package ask

import (
	"cmp"
	"fmt"
	"slices"

	"shortfall/audit/results"
)

// Findings are the sentences of the summary, of all questions: what fell short, whether
// the choice of feature mattered and how sure that is, what it cost, what changed, and how
// far the data carry. They are in the order of results.FindingKinds, one on change at most,
// and as few as a reader takes in: the tables carry the rest. A finding of no such kind is
// an error.
func Findings(r *results.Results, qs []Question) ([]results.Finding, error) {
	kinds := results.FindingKinds()
	out := []results.Finding{}
	for i := range qs {
		if qs[i].Findings != nil {
			for _, f := range qs[i].Findings(r) {
				if !slices.Contains(kinds, f.Kind) {
					return nil, fmt.Errorf("question %s has a finding of no known kind (%s)", qs[i].ID, f.Kind)
				}
				out = append(out, f)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b results.Finding) int {
		return cmp.Compare(slices.Index(kinds, a.Kind), slices.Index(kinds, b.Kind))
	})
	return unknownChange(atMostFive(oneChange(out))), nil
}

// mostFindings fit on a page that is read in two minutes.
const mostFindings = 5

// atMostFive leaves out what the sections tell as well: switches first, then
// the grid of styles where a declared comparison speaks already.
func atMostFive(fs []results.Finding) []results.Finding {
	for _, kind := range []results.FindingKind{results.SwitchedStyle, results.StyleDifference} {
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

// oneChange makes one finding on change of all of them: the quarter, what is new since an
// earlier audit, the criteria.
func oneChange(fs []results.Finding) []results.Finding {
	out := []results.Finding{}
	at := -1
	for _, f := range fs {
		switch {
		case f.Kind != results.ChangedInTime:
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
	if len(fs) == 0 || len(fs) >= mostFindings || slices.ContainsFunc(fs, func(f results.Finding) bool { return f.Kind == results.ChangedInTime }) {
		return fs
	}
	at := len(fs)
	if fs[at-1].Kind == results.DataQuality {
		at--
	}
	return slices.Insert(fs, at, results.Finding{
		Kind: results.ChangedInTime, Text: "What changed since last time cannot be said: neither criteria nor a quarter nor the results of an earlier audit were given.",
		Limits: "The results file of this audit is what the next one can be compared with.",
		Action: "Which criterion should the next audit be held against?",
	})
}
