package comparison

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/between"
	"shortfall/audit/compare"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// findings are the comparison declared beforehand, and the directions over all teeth.
func findings(r *results.Results) (out []results.Finding) {
	for _, find := range []func(*results.Results) (results.Finding, bool){PrimaryFinding, StyleFinding} {
		if f, ok := find(r); ok {
			out = append(out, f)
		}
	}
	return out
}

// PrimaryFinding reports the comparison declared beforehand.
func PrimaryFinding(r *results.Results) (results.Finding, bool) {
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if !c.Primary {
			continue
		}
		text := c.Reading
		switch where := wording.Capital(wording.NamesOf(r).Cell(c.By)); {
		case c.Reason == results.Withheld:
			text = where + ": the comparison may not leave the practice, too few cases being in a cell of it, whatever came of it."
		case c.Verdict == results.NotComparable || text == "":
			text = where + ": the two styles are not comparable" + lastReason(c) + "."
		}
		return results.Finding{
			Kind: results.StyleDifference, Text: "The comparison declared beforehand. " + text, Limits: AssociationLimit(c),
			Action: "Does this answer the question the audit was set up for?", Warnings: c.Warnings,
			Rests: []results.Basis{{Table: "comparisons", By: c.By}},
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

// AssociationLimit says what a called difference cannot tell, with the E-value of its limit.
func AssociationLimit(c *results.Comparison) string {
	s := "An association: styles were chosen, not allocated."
	if e := c.EValue.Limit; e.OK() && c.Verdict != results.NotDistinguishable {
		s += fmt.Sprintf(" Something unrecorded, related %s-fold to both choice and result, could bring the clearest interval to zero.", wording.Fixed(e, 1))
	}
	return s
}

// StyleFinding speaks of directions over all teeth in initial courses, which
// share no movement; the finer cells are in their section.
func StyleFinding(r *results.Results) (results.Finding, bool) {
	var told, open, apart []*results.Comparison
	kept := 0
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if !c.By.WholeInFirstSets() || c.Primary {
			continue
		}
		switch c.Verdict {
		case results.Higher, results.Lower:
			told = append(told, c)
		case results.NotDistinguishable:
			open = append(open, c)
		default:
			if c.Reason == results.Withheld {
				kept++
			} else {
				apart = append(apart, c)
			}
		}
	}
	f := results.Finding{Kind: results.StyleDifference, Limits: "An association: styles were chosen, not allocated."}
	for _, c := range append(told, open...) {
		f.Rests = append(f.Rests, results.Basis{Table: "comparisons", By: c.By})
	}
	switch {
	case r.Scope.Movements == 0:
		return f, false
	case len(told)+len(open) == 0 && kept > 0:
		f.Text = "Whether the choice of attachment mattered cannot be said here: " + wording.Of(kept, "comparison") + " may not leave the practice, too few cases being in a cell of theirs."
	case len(told)+len(open) == 0:
		f.Text = "Whether the choice of attachment mattered cannot be judged yet: " + WhyNone(r, apart, "direction") + "."
		f.Action = "Would you record the attachment style of every tooth, and audit again with more cases?"
	case len(told) == 0:
		f.Text = fmt.Sprintf("In the first set of aligners the two attachment styles could not be told apart in %s, within the same patients; %s could have been missed.",
			wording.AnyOf(len(open), "direction"), CouldSee(open)) + keptBack(kept)
		f.Limits = "Not distinguishable is not the same as equal. " + f.Limits
		f.Action = "Is a smaller difference worth waiting for more cases?"
	default:
		clearest := strongestOf(told)
		f.Text = toldApart(told, wording.NamesOf(r), r.Provenance.Settings.Level) + openDirections(open, len(apart)) + keptBack(kept)
		f.Limits, f.Warnings = AssociationLimit(clearest), clearest.Warnings
		f.Action = "Should the choice of attachment for these be reviewed case by case and re-audited?"
	}
	for _, c := range told {
		if text := wording.Overplanned(c); text != "" {
			f.Text += " " + wording.Capital(wording.NamesOf(r).Direction(c.By.Direction)) + ": " + wording.Lower(text)
		}
	}
	for _, c := range open {
		if c.Reason == string(compare.DoubtfulAmounts) {
			f.Text += " " + wording.Capital(wording.NamesOf(r).Direction(c.By.Direction)) + ": " + wording.Lower(c.Because)
			f.Action = "Would you look at these cells first, and audit again?"
		}
	}
	return f, true
}

// mostNamed differences are spelled out on page one.
const mostNamed = 3

// toldApart spells out the clearest differences: "With clinician-designed against
// software-suggested attachments 14 points more of the plan was achieved in extrusion
// (95 % CI 8 to 20), ...".
func toldApart(told []*results.Comparison, n wording.Names, level float64) string {
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
			size, word, ci = wording.InPoints(d), word+" of the plan was achieved", wording.CI(level)+" "
		}
		parts = append(parts, fmt.Sprintf("%s %s in %s (%s%s to %s)", size, word, n.Direction(c.By.Direction), ci, wording.Rounded(low), wording.Rounded(high)))
	}
	if n := len(told) - len(named); n > 0 {
		parts = append(parts, fmt.Sprintf("and %d more differed", n))
	}
	return "In the first set, clinician-designed against software-suggested attachments within the same patients: " + strings.Join(parts, ", ") + "."
}

// keptBack says that a reader misses comparisons, and not what came of them.
func keptBack(n int) string {
	if n == 0 {
		return ""
	}
	return " " + wording.Capital(wording.Of(n, "comparison")) + " may not leave the practice (too few cases in a cell), whatever came of it."
}

// openDirections says where no difference was clear and what could have been missed.
func openDirections(open []*results.Comparison, apart int) string {
	s := ""
	if n := len(open); n > 0 {
		s = fmt.Sprintf(" No difference was clear in %s (%s could have been missed)", otherDirections(n), CouldSee(open))
	}
	switch {
	case apart > 0 && s != "":
		s += fmt.Sprintf("; %d cannot be compared", apart)
	case apart > 0:
		s = fmt.Sprintf(" %s cannot be compared", wording.Capital(otherDirections(apart)))
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

// CouldSee gives what could have been missed, from the sharpest direction to the
// bluntest: "9 to 26 points"; each stands beside its own comparison.
func CouldSee(cs []*results.Comparison) string {
	known := slices.DeleteFunc(slices.Clone(cs), func(c *results.Comparison) bool { return !c.Detectable.OK() })
	if len(known) == 0 {
		return "differences of unknown size"
	}
	slices.SortStableFunc(known, func(a, b *results.Comparison) int { return cmp.Compare(a.Detectable, b.Detectable) })
	first, last := wording.Rounded(100*float64(known[0].Detectable)), wording.InPoints(100*float64(known[len(known)-1].Detectable))
	if len(known) == 1 || first+"\u00a0points" == last || first+" points" == last {
		return "differences under " + last
	}
	return "differences under " + first + " to " + last
}

// WhyNone says why none of these comparisons, each a what, has a verdict.
func WhyNone(r *results.Results, cs []*results.Comparison, what string) string {
	movements := map[casebook.Style]int{}
	withheld := false
	for i := range r.Comparisons {
		for _, a := range r.Comparisons[i].Arms {
			movements[a.Style] += a.Movements
			withheld = withheld || r.Comparisons[i].Reason == results.Withheld
		}
	}
	software, clinician := movements[casebook.SoftwareSuggested], movements[casebook.ClinicianDesigned]
	switch {
	case withheld: // none on record is not said of what is kept back
	case software+clinician == 0:
		return "no attachment of either style is on record"
	case clinician == 0:
		return "no clinician-designed attachment is on record"
	case software == 0:
		return "no software-suggested attachment is on record"
	}
	return between.WhyApart(cs, &r.Provenance.Settings, what)
}

// strongestOf is the comparison with the smallest P; the first of equals.
func strongestOf(cs []*results.Comparison) *results.Comparison {
	return slices.MinFunc(cs, func(a, b *results.Comparison) int { return cmp.Compare(a.Adjusted.P, b.Adjusted.P) })
}
