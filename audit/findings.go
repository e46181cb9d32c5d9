package audit

import (
	"cmp"
	"slices"

	"shortfall/audit/ask"
	"shortfall/audit/results"
)

// findings are the sentences of the summary page: what fell short, whether the
// choice of feature mattered and how sure that is, what it cost, and how far
// the data carry. They are decided here, from what the results may show, and
// kept short: the tables carry the rest.
func findings(r *results.Results, qs []ask.Question) []results.Finding {
	out := []results.Finding{}
	for i := range qs {
		if qs[i].Findings != nil {
			out = append(out, qs[i].Findings(r)...)
		}
	}
	slices.SortStableFunc(out, func(a, b results.Finding) int {
		return cmp.Compare(slices.Index(kinds, a.Kind), slices.Index(kinds, b.Kind))
	})
	return unknownChange(atMostFive(oneChange(out)))
}

// kinds of finding, in the order of page one.
var kinds = []string{"short", "style", "refinements", "switch", "change", "quality"}

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
