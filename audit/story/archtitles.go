package story

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// archesTitle is that of page one. The headline says where plans fell short most
// where the styles cannot be compared: then it is not said again.
func (t *teller) archesTitle(drawn []*results.Cell) string {
	w := t.worst
	switch {
	case len(t.told()) > 0:
		return t.shortTitle()
	case len(w) == 0 && len(t.kinds) > 1 && t.alike() != "":
		return "In the mouth: " + joined(t.kindsOf(drawn)) + ", the lowest though not clearly so"
	case len(w) == 0:
		return t.shortTitle()
	case t.allWhole(w):
		return "In the mouth: " + joined(t.kindsOf(w)) + ", by kind of tooth"
	}
	return "In the mouth: " + joined(t.kindsOf(w))
}

// allWhole is true where no class of tooth has enough cases.
func (t *teller) allWhole(kinds []*results.Cell) bool {
	return !slices.ContainsFunc(kinds, func(c *results.Cell) bool { return c.By.ToothClass != casebook.NoClass })
}

// firstSub says what a number and a shade of the arches of page one are.
func (t *teller) firstSub(first []results.FrontArch) string {
	if !t.namesKinds() {
		return "Achieved, % of planned, first set; joined: one value per kind, both jaws; differences may be chance"
	}
	sub := "First set, all patients, by kind of tooth: % of planned achieved (" + t.ci() + "); in bold, short on average"
	if why := t.notNamed(first); why != "" {
		return sub + "; dashed: as low, but " + why
	}
	if t.besideNamed(first) {
		if note, why := t.beside(first[1].Direction); why != "" {
			return sub + "; " + note + " " + why
		}
	}
	return sub
}

// besideNamed is true where page one draws a direction that the title does not name.
func (t *teller) besideNamed(first []results.FrontArch) bool {
	return t.namesKinds() && len(first) == onPageOne && meant(first[0]) && !meant(first[1])
}

// beside says of a direction that is drawn and not named what it is, over all teeth, and
// where that needs one, the reason.
func (t *teller) beside(d casebook.Direction) (note, why string) {
	whole := t.cells[results.InFirstSets(d)]
	if named := t.cells[results.InFirstSets(t.worst[0].By.Direction)]; named == nil || whole.Estimate > named.Estimate {
		return "next lowest", ""
	}
	if float64(whole.MeanShortfall) <= t.s.Tolerance(whole.Unit) {
		return "as low", "over all teeth, short by less than the tolerance"
	}
	return "as low", "over all teeth, no kind clearly so"
}

// meant reports an arch with a tooth that the title names.
func meant(x results.FrontArch) bool {
	return slices.ContainsFunc(x.Teeth, func(f results.FrontTooth) bool { return f.Meant })
}

// notNamed says why kinds of tooth that are drawn have no more than one that is named,
// and are not named.
func (t *teller) notNamed(first []results.FrontArch) string {
	var why []string
	for i := range first {
		for _, k := range first[i].Kinds {
			if !k.Lower {
				continue
			}
			reason := "short by less than the tolerance"
			if c := t.cells[first[i].OfKind(&k)]; float64(c.MeanShortfall) > t.s.Tolerance(c.Unit) {
				reason = "too few cases to be sure"
			}
			if !slices.Contains(why, reason) {
				why = append(why, reason)
			}
		}
	}
	return strings.Join(why, ", or ")
}

// byToothTitle says how far the teeth are apart where each has its own number.
func (t *teller) byToothTitle() string {
	low := t.lowest()
	if len(low) < 2 || wording.Percent(low[0].Estimate) == wording.Percent(low[len(low)-1].Estimate) {
		return "How much was achieved, tooth by tooth"
	}
	return fmt.Sprintf("Tooth by tooth: %s of the plan in %s, %s in %s", wording.Percent(low[0].Estimate), axisNoun(low[0].By.Axis),
		wording.Percent(low[len(low)-1].Estimate), axisNoun(low[len(low)-1].By.Axis))
}

// archesSub says what a number in a tooth is.
func archesSub(kinds, axes int) string {
	switch {
	case kinds == axes:
		return "Achieved, % of planned, first set: one value per kind of tooth and jaw; both directions"
	case kinds > 0:
		return "Achieved, % of planned, first set; joined teeth: one value per kind and jaw; both directions"
	}
	return "Achieved, % of planned, first set of aligners, both directions together"
}
