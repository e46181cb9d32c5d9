package between

import (
	"fmt"
	"slices"

	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// WhyApart says of comparisons without a verdict why they have none, the commonest reason
// first: "in 9 directions fewer than 10 patients carry both styles and in 2 the plans of the
// two styles hardly overlap in size". Each is a what, "direction".
func WhyApart(cs []*results.Comparison, s *results.Settings, what string) string {
	if len(cs) == 0 {
		return "no movement of a first set with an attachment is on record"
	}
	var reasons []string
	n := map[string]int{}
	for _, c := range cs {
		if n[c.Reason]++; n[c.Reason] == 1 {
			reasons = append(reasons, c.Reason)
		}
	}
	slices.SortStableFunc(reasons, func(a, b string) int { return n[b] - n[a] })
	if len(reasons) == 1 {
		if len(cs) == 1 {
			return apartWords(reasons[0], s)
		}
		return "in each of " + wording.Of(len(cs), what) + " " + apartWords(reasons[0], s)
	}
	var parts []string
	for i, r := range reasons {
		count := wording.Count(n[r])
		if i == 0 {
			count = wording.Of(n[r], what)
		}
		parts = append(parts, "in "+count+" "+apartWords(r, s))
	}
	return wording.List(parts)
}

// apartWords is whyNotComparable without what is true of one comparison alone.
func apartWords(reason string, s *results.Settings) string {
	switch compare.Reason(reason) {
	case results.Withheld:
		return "the comparison may not leave the practice"
	case compare.DifferentPatients:
		return fmt.Sprintf("fewer than %d patients carry both styles", s.MinBothCases)
	case compare.NoOverlap:
		return "the plans of the two styles hardly overlap in size"
	case compare.NotAdjusted:
		return "too few patients carry both styles to adjust for what the comparison rests on"
	case compare.FewDF:
		return "a few patients would carry the comparison"
	case compare.NoEarlierCourse:
		return "the teeth have no earlier course on record"
	case compare.NothingLater:
		return "no course has ended since the comparison was declared"
	case compare.NotALook:
		return "this audit is not one of the declared looks"
	}
	return "the difference cannot be estimated"
}

// NeedFor says what comparisons without a verdict need, by their reasons: patients with
// both styles where one lacks these, plans of like size where all have them.
func NeedFor(cs []*results.Comparison, s *results.Settings) string {
	has := func(r compare.Reason) bool {
		return slices.ContainsFunc(cs, func(c *results.Comparison) bool { return c.Reason == string(r) })
	}
	only := func(r compare.Reason) bool {
		return len(cs) > 0 && !slices.ContainsFunc(cs, func(c *results.Comparison) bool { return c.Reason != string(r) })
	}
	switch {
	case len(cs) == 0 || has(compare.DifferentPatients):
		return "To compare the styles, at least " + wording.Of(s.MinBothCases, "patient") + " must carry both for the same movement, in the same set of aligners."
	case only(compare.NoOverlap):
		return "To compare the styles, plans of like size must be on record in both."
	}
	return "To compare the styles, more patients must carry both for the same movement, in the same set of aligners."
}
