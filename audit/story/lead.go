package story

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// under says what came of the comparison declared beforehand, and what the
// headline leaves open.
func (t *teller) under() string {
	return strings.TrimSpace(t.declared() + " " + t.leavesOpen() + t.measured() + t.quarter())
}

// measured says that outcomes were measured in several ways.
func (t *teller) measured() string {
	ways := len(t.r.Questions.Measured.Ways)
	if ways < 2 {
		return ""
	}
	return fmt.Sprintf(" Outcomes were measured in %s; styles are compared within one way.", wording.Of(ways, "way"))
}

// declared is the comparison declared beforehand, whatever came of it.
func (t *teller) declared() string {
	for i := range t.r.Comparisons {
		c := &t.r.Comparisons[i]
		if !c.Primary {
			continue
		}
		where := t.noun(c.By.Direction)
		if c.By.Direction == casebook.NoDirection {
			where = axisNoun(c.By.Axis)
		}
		if c.By.ToothClass != casebook.NoClass {
			where += " of " + classes(c.By.ToothClass)
		}
		verdict := verdictWords[c.Verdict]
		if c.Reason == results.Withheld {
			verdict = withheldWords
		}
		return "Declared beforehand was " + where + ": " + verdict + "."
	}
	return ""
}

var verdictWords = map[results.Verdict]string{
	results.Higher: "more was achieved with clinician-designed attachments", results.Lower: "less was achieved with clinician-designed attachments",
	results.NotDistinguishable: "no clear difference", results.NotComparable: "the styles cannot be compared",
}

// withheldWords are of what may not leave the practice.
const withheldWords = "the comparison is withheld, which says nothing of its result"

func (t *teller) leavesOpen() string {
	if t.r.Scope.Movements == 0 {
		return "The flow of records shows what was read, and why nothing of it is left."
	}
	if t.onlyRefinements() {
		return "These pages are about first sets. What refinements achieved stands in the tables of the full report."
	}
	if len(t.told()) == 0 {
		if len(t.withheld) > 0 {
			return t.ofThese() + t.whyWithheld()
		}
		return t.ofThese() + t.needBoth()
	}
	parts := t.groups()
	out := "Compared within the same patients."
	if len(t.clear) > 0 {
		out = t.sizes()
	}
	switch others := len(t.open) + len(t.unsettled) + len(t.lone) + len(t.strict) + len(t.apart); {
	case len(t.clear) > 0 && len(parts) > 2 && len(t.withheld) == 0: // the figure below has them in these groups
		out += " In the other " + directionsCount(others) + " no difference is clear, or the styles cannot be compared."
	case len(parts) > 0:
		out += " " + wording.Capital(inGroups(parts)) + "."
	}
	if len(t.clear) > 0 {
		return out // which has said so
	}
	out += " No clear difference is not the same as none."
	if m := t.missed(); m != "" {
		out += " " + m
	}
	return out + " Association, not\u00a0cause."
}

// inGroups joins parts; those that have commas of their own stand apart.
func inGroups(parts []string) string {
	if strings.Contains(strings.Join(parts, ""), ",") {
		return strings.Join(parts, "; ")
	}
	return joined(parts)
}

// groups say in how many directions what came out beside the clear differences.
func (t *teller) groups() (parts []string) {
	add := func(n int, what string) {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("in %s %s", directionsCount(n), what))
		}
	}
	lone, strict := len(t.lone), len(t.strict)
	if len(t.clear) > 0 { // the figure tells apart why
		add(len(t.open)+lone+strict, "no difference was clear")
		lone, strict = 0, 0
	}
	add(len(t.unsettled), "a difference did not hold up in every check")
	add(lone, "a difference shows that may be chance: "+wording.Count(len(t.told()))+" were looked at")
	add(strict, "a difference shows, but not at the stricter level set for its verdict")
	if n := len(t.apart); n > 0 && lone > 0 { // those looked at are counted beside them
		parts = append(parts, "in "+wording.Of(n, "other direction")+" the styles cannot be compared")
	} else {
		add(n, "the styles cannot be compared")
	}
	add(len(t.withheld), withheldWords)
	return parts
}

// ofThese says how much was achieved where plans fell short most, and among what:
// the arches hold both directions, and a whole direction may be lower, its other
// kinds of tooth having too few cases.
func (t *teller) ofThese() string {
	shares := estimates(t.worst)
	if len(shares) == 0 && t.alike() != "" {
		return t.byDirections()
	}
	if len(shares) == 0 || len(t.lowest()) == 0 {
		return ""
	}
	doubt := ""
	if t.mayBeAsLow() {
		doubt = " Kinds of tooth in grey may be as low."
	}
	return fmt.Sprintf("In these, %s\u00a0%% of the plan was achieved, the least among movements of %d or more cases that fell short by more than the tolerance (%s).%s ", eachOf(shares), t.s.MinIntervalCases, t.tolerance(), doubt)
}

// mayBeAsLow is true where page one draws a kind of tooth whose interval reaches what the
// title names.
func (t *teller) mayBeAsLow() bool {
	first, _ := t.firstArches()
	return slices.ContainsFunc(first, func(a results.FrontArch) bool {
		return slices.ContainsFunc(a.Kinds, func(k results.FrontKind) bool { return k.Near })
	})
}

// byDirections is how far apart the directions of the first figure lie.
func (t *teller) byDirections() string {
	var shares []float64
	some := false // have no interval: a handful of cases makes no span
	for _, r := range slices.Concat(t.meanRows()) {
		switch {
		case r.MeanLow.OK():
			shares = append(shares, float64(r.Mean))
		case r.Mean.OK():
			some = true
		}
	}
	if len(shares) < 2 {
		return ""
	}
	text := fmt.Sprintf("Direction by direction, %s\u00a0%% of the plan was achieved. ", spanOf(shares))
	if some {
		text = fmt.Sprintf("In the directions with %d or more cases, %s\u00a0%% of the plan was achieved. ", t.s.MinIntervalCases, spanOf(shares))
	}
	if n := len(t.kinds); n > 1 {
		text += fmt.Sprintf("Of %d kinds (direction and tooth) with %d or more cases, %s. ", n, t.s.MinIntervalCases, t.noneLower())
	}
	return text
}

// missingStyles names what no attachment is recorded as; none where both styles are on
// record.
func (t *teller) missingStyles() (out []string) {
	software, clinician := t.styled()
	if software == 0 {
		out = append(out, "software-suggested")
	}
	if clinician == 0 {
		out = append(out, "clinician-designed")
	}
	return out
}

// needBoth says what a comparison would need.
func (t *teller) needBoth() string {
	if missing := t.missingStyles(); len(missing) > 0 {
		return "A comparison needs attachments recorded as " + strings.Join(missing, " and others as ") + "."
	}
	return between.NeedFor(t.apart, &t.s)
}

// whyWithheld counts the directions whose comparison may not leave the practice.
func (t *teller) whyWithheld() string {
	return "In " + directionsCount(len(t.withheld)) + " the comparison is withheld, too few cases being in a cell of it; that says nothing of its result."
}
