package story

import (
	"cmp"
	"fmt"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// mostSwitches are drawn; the table behind the comparison has all.
const mostSwitches = 7

// kept is the figure of movements that fell short: switched against kept, where the two
// can be compared.
func (t *teller) kept() results.FrontSwitches {
	s := &t.r.Questions.Switches
	var compared []*results.GroupComparison
	clear := 0
	for i := range s.Contrasts {
		c := &s.Contrasts[i]
		if c.Suppressed || c.Verdict == results.NotComparable {
			continue
		}
		compared = append(compared, c)
		if c.Verdict != results.NotDistinguishable {
			clear++
		}
	}
	if len(compared) == 0 {
		return results.FrontSwitches{}
	}
	out := results.FrontSwitches{Drawn: drawnOf(compared), FrontFigure: results.FrontFigure{
		Title: "After a shortfall, switching and keeping the style could not be told apart",
		Sub:   "Movements that fell short, and the same planned again: achieved, % of planned",
		Below: fmt.Sprintf("Points: switched minus kept, adjusted for what fell short and for what was planned again. Grey bars: where the next course would be expected to end had the choice made no difference, since what fell short tends to do better next time. %s fell short; %s were planned again and measured, style on record.",
			wording.Of(s.FellShort, "movement"), wording.Count(s.Followed)),
	}}
	if clear > 0 {
		out.Title = fmt.Sprintf("After a shortfall, switching and keeping the style differed clearly in %d of %s", clear, wording.Of(len(compared), "comparison"))
	}
	if n := len(out.Drawn); n < len(compared) {
		out.Sub += fmt.Sprintf("; %d of %d comparisons", n, len(compared))
	}
	if slices.ContainsFunc(compared, func(c *results.GroupComparison) bool {
		return c.Verdict == results.NotDistinguishable && c.Adjusted.LeavesOutZero()
	}) {
		out.Below = fmt.Sprintf("An interval without zero is not enough: P is corrected for the %s, and checks decide. ", wording.Of(len(compared), "comparison")) + out.Below
	}
	return out
}

// drawnOf are the clear comparisons and those with most cases that switched, in the
// order in which they came.
func drawnOf(compared []*results.GroupComparison) (out []results.FrontSwitch) {
	within := func(c *results.GroupComparison) int { return measure.OneIf(c.Verdict == results.NotDistinguishable) }
	by := slices.Clone(compared)
	slices.SortStableFunc(by, func(a, b *results.GroupComparison) int {
		return cmp.Or(cmp.Compare(within(a), within(b)), cmp.Compare(b.Group.Cases, a.Group.Cases))
	})
	by = by[:min(mostSwitches, len(by))]
	for _, c := range compared {
		if slices.Contains(by, c) {
			out = append(out, results.FrontSwitch{Axis: c.By.Axis, From: c.From, To: c.To})
		}
	}
	return out
}
