package between

import (
	"fmt"

	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// unsettled says of a difference that is called neither way, and whose interval leaves
// out zero all the same, why: a reader would take the one or the other for an error.
func unsettled(v results.Verdict, d results.Difference, why compare.Reason, looked int) []results.Warning {
	few := why.FewWords()
	switch {
	case v != results.NotDistinguishable || !d.LeavesOutZero():
		return nil
	case few != "":
		return []results.Warning{{ID: results.CheckFailed, Text: "the interval leaves out zero, but a check failed: " + few, Remedy: "read it as a hint"}}
	case looked == 1: // its level is stricter than that of the interval
		return []results.Warning{{ID: results.NotAtLevel, Text: "the interval leaves out zero, but not at the stricter level set for this verdict", Remedy: "read it as a hint"}}
	}
	return []results.Warning{{
		ID: results.NotAfterCorrection, Remedy: "read it as a hint",
		Text: fmt.Sprintf("by itself the interval leaves out zero, but among %s one may do so by chance: after correction for them this one is within chance", wording.Of(looked, "comparison")),
	}}
}

// lookedAt counts the comparisons of a family that have a verdict.
func lookedAt(as []compare.Answer) (n int) {
	for i := range as {
		if results.Verdict(as[i].Verdict) != results.NotComparable {
			n++
		}
	}
	return n
}
