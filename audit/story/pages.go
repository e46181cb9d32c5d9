package story

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/between"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// shortPage is page two.
func (t *teller) shortPage() results.FrontPage {
	p := results.FrontPage{Title: "Where plans fell short"}
	for _, c := range t.worst {
		p.Statements = append(p.Statements, results.Statement{
			Text: fmt.Sprintf("%s: %s of the plan was achieved (%s %s; %s short on average; %s).", wording.Capital(t.kindsOf([]*results.Cell{c})[0]),
				wording.Percent(c.Estimate), t.ci(), wording.Limits(c.Low, c.High), wording.Amount(c.MeanShortfall, c.Unit), wording.Of(c.Cases, "case")),
			Cells: []results.By{c.By},
		})
	}
	switch {
	case t.r.Scope.Movements == 0:
		p.Lead = "No planned movement with a measured outcome is on record."
	case len(p.Statements) == 0 && t.alike() != "":
		p.Lead = wording.Sentence(t.alike()) + " " + t.ofKinds()

	case len(p.Statements) == 0:
		p.Lead = "On average no kind of movement with enough cases fell short by more than the tolerance. Single movements may still fall short."
	default:
		p.Lead = fmt.Sprintf("Of the kinds named, each with %d or more cases, less was achieved than of a typical kind by more than chance.%s The lowest of many are partly low by chance; the reason is not shown.", t.s.MinIntervalCases, t.lowestNotNamed())
	}
	return p
}

// lowestNotNamed says of the direction that is lowest over all teeth that no kind of it is
// named, where page one therefore has no arch of it or of one as low.
func (t *teller) lowestNotNamed() string {
	low, _, _ := t.ends()
	if low == nil || !t.namesKinds() || slices.ContainsFunc(t.firstKinds(), func(c *results.Cell) bool {
		drawn := t.cells[results.InFirstSets(c.By.Direction)]
		return drawn != nil && t.asLow(drawn, low)
	}) {
		return ""
	}
	return " " + wording.Capital(t.noun(low.By.Direction)) + ", lowest over all teeth, has none of them."
}

// inAll says how much was achieved of all that was planned, a number a unit, and by style
// as they stand, without any adjustment.
func (t *teller) inAll() string {
	whole, parts := "", []string(nil)
	for _, x := range t.r.InAll {
		units := t.units(x.Units, x.Style == casebook.NoStyle)
		switch {
		case len(units) == 0:
		case x.Style == casebook.NoStyle:
			whole = "In all, " + joined(units) + " were achieved in the first set."
		default:
			parts = append(parts, wording.Style(x.Style)+" "+joined(units))
		}
	}
	if len(parts) > 1 {
		whole += " As they stand: " + strings.Join(parts, "; ") + ". Plans, teeth and patients differ, so this is no comparison."
	}
	return whole
}

// units words what was achieved of each, with its interval.
func (t *teller) units(us []results.UnitAchieved, whole bool) (out []string) {
	for i := range us {
		u := &us[i]
		s := wording.Percent(u.Spread.Value) + " of the planned " + map[casebook.Unit]string{casebook.Millimetre: "millimetres", casebook.Degree: "degrees"}[u.Unit]
		if !whole {
			s = wording.Percent(u.Spread.Value) + " of " + wording.Unit(u.Unit)
		}
		if whole && u.Spread.Low.OK() {
			s += " (" + t.ci() + " " + wording.Limits(u.Spread.Low, u.Spread.High) + ")"
		}
		out = append(out, s)
	}
	return out
}

// choicePage is page three: each finding one sentence, with what it survived.
func (t *teller) choicePage() results.FrontPage {
	p := results.FrontPage{Title: "Did the choice of attachment matter?"}
	for _, c := range t.clear {
		p.Statements = append(p.Statements, t.statement(c))
	}
	for _, c := range t.unsettled {
		p.Statements = append(p.Statements, results.Statement{Text: wording.Capital(t.noun(c.By.Direction)) + ", not settled. " + notSettled(c), Cells: []results.By{c.By}})
	}
	for _, c := range t.lone {
		p.Statements = append(p.Statements, t.notCalled(c, "It may be chance, as one of "+directionsCount(len(t.told()))+" looked at."))
	}
	for _, c := range t.strict {
		p.Statements = append(p.Statements, t.notCalled(c, "It is not beyond chance at the stricter level set for its verdict."))
	}
	switch {
	case len(t.clear) > 0:
		p.Lead = strings.TrimSpace("Clinician-designed against software-suggested attachments, within the same patients and courses. " + t.survived() + " " + t.power())
		if len(t.overplanned()) > 0 {
			p.Lead += " Plans that are made larger on purpose lower the share achieved, without any less being moved."
		}
	case len(t.told()) > 0:
		p.Lead = strings.TrimSpace("Within the same patients and courses no direction differed clearly, which is not the same as no difference. " + t.power())
	default:
		p.Lead = t.nothingCompared()
	}
	if text := t.inAll(); text != "" {
		p.Statements = append(p.Statements, results.Statement{Text: text})
	}
	return p
}

// nothingCompared says why no direction has a verdict that may be shown, and what would
// give it one.
func (t *teller) nothingCompared() string {
	switch {
	case len(t.withheld) == 0:
		return "The styles cannot be compared: " + t.whyApart() + ". " + t.needBoth()
	case len(t.apart) == 0:
		return t.whyWithheld()
	}
	return t.whyWithheld() + " The others cannot be compared: " + t.whyApart() + "."
}

// whyApart sums up why nothing is compared.
func (t *teller) whyApart() string {
	software, clinician := t.styled()
	switch {
	case t.onlyRefinements():
		return "no movement of a first set of aligners is measured"
	case software == 0 && clinician == 0:
		return t.unattached() + " is on record"
	case clinician == 0:
		return "no clinician-designed attachment is on record"
	case software == 0:
		return "no software-suggested attachment is on record"
	}
	return between.WhyApart(t.apart, &t.s, "direction")
}

// statement is a clear difference in one sentence.
func (t *teller) statement(c *results.Comparison) results.Statement {
	text := wording.Capital(t.noun(c.By.Direction)) + ": " + t.sizeOf(c)
	if larger := wording.Overplanned(c); larger != "" {
		text += " " + larger
	}
	return results.Statement{Text: text, Cells: []results.By{c.By}}
}

// sizeOf is how large a difference is, as the rest of a sentence.
func (t *teller) sizeOf(c *results.Comparison) string {
	d := difference(c)
	size, low, high, word := d.Difference, d.Low, d.High, "more"
	if size < 0 {
		size, low, high, word = -size, -high, -low, "less"
	}
	amount := ""
	if same, ok := sameMouth(c); ok && same.InUnit.Value.OK() {
		amount = "; " + wording.Fine(results.Number(math.Abs(float64(same.InUnit.Value))), c.Unit) + " on an average plan"
	}
	return fmt.Sprintf("%s %s of the plan was achieved with clinician-designed attachments (%s %s%s; %s with both styles).",
		wording.Of(whole(size), "point"), word, t.ci(), unsigned(wording.PointLimits(low, high)), amount, wording.Of(c.Both, "patient"))
}

// notCalled is a difference whose interval leaves out zero, and why it is not called.
func (t *teller) notCalled(c *results.Comparison, why string) results.Statement {
	return results.Statement{
		Text:  wording.Capital(t.noun(c.By.Direction)) + ", not settled: " + t.sizeOf(c) + " " + why,
		Cells: []results.By{c.By},
	}
}

// unsigned leaves out the signs of limits whose direction is said.
func unsigned(limits string) string { return strings.ReplaceAll(limits, "+", "") }

func whole(v results.Number) int { return int(100*float64(v) + 0.5) }

// costPage is page four.
func (t *teller) costPage() results.FrontPage {
	p := results.FrontPage{Title: "What it cost, and what changed"}
	if t.changeAsked() { // which has a page of its own
		p.Title = "What it cost"
	}
	add := func(s string) {
		if s != "" {
			p.Statements = append(p.Statements, results.Statement{Text: s})
		}
	}
	f := t.r.Refinements
	switch {
	case f.Cases == 0:
		p.Lead = uncounted(f.Warnings)
	case t.neverRefined():
		p.Lead = "No refinement is on record of any completed case: none was needed, or none was recorded."
	case f.Mean.Value.OK() && f.Cases >= t.s.MinIntervalCases:
		p.Lead = fmt.Sprintf("Completed cases needed %s refinements on average", wording.Fixed(f.Mean.Value, 1))
		if f.Mean.Low.OK() {
			p.Lead += fmt.Sprintf(" (%s %s to %s)", t.ci(), wording.Fixed(f.Mean.Low, 1), wording.Fixed(f.Mean.High, 1))
		}
		p.Lead += "."
	}
	if x := t.r.Questions.PlannedAgain; x != nil && t.byStyle().Title == "" { // else below that figure
		add(x.Reading)
	}
	add(t.lossSentence())
	add(t.errorSentence())
	if !t.changeAsked() && len(t.r.Questions.Reaudit.Criteria) == 0 {
		add("What changed is not shown: no targets, no quarter to compare and no earlier results were given.")
	}
	return p
}

// uncounted says why no refinement is counted.
func uncounted(ws []results.Warning) string {
	for _, w := range ws {
		if w.ID == results.RefinementsUnknown || w.ID == results.StatusUnknown {
			return "Refinements cannot be counted: " + w.Text + "."
		}
	}
	return "No completed case is on record, so refinements cannot be counted."
}
