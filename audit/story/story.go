// Package story works out what the first pages of a report say and draw: the
// headline, the sentences, which rows are drawn and what is to decide.
//
// Place in the pipeline: audit fills the results, story reads them and adds
// Front; a renderer prints it and writes no sentence of its own. Plain English
// comes first here: the terms of statistics stand in the methods.
package story

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// Tell fills r.Front.
func Tell(r *results.Results) {
	t := newTeller(r)
	r.Front = results.Front{
		Over: t.over(), Headline: t.headline(), Under: t.under(),
		Dots: t.dots(), Arches: t.arches(), Directions: t.directions(), Refined: t.refined(), ByStyle: t.byStyle(),
		Decide: t.decide(), Record: t.record(), Recorded: t.recorded(),
		Short: t.shortPage(), Choice: t.choicePage(), Cost: t.costPage(),
		Kept: t.kept(), Flow: t.flow(), Change: t.changePage(), Changes: t.changes(),
	}
}

// teller holds what every sentence may need.
type teller struct {
	r     *results.Results
	s     results.Settings
	names wording.Names
	cells map[results.By]*results.Cell
	// Comparisons of whole directions in initial courses, in print order.
	// Unsettled ones are beyond chance and fail a check; lone ones would be beyond chance
	// by themselves, and are not as one of several; strict ones are not at the level set for
	// their verdict.
	// Withheld ones may not leave the practice, whatever came of them; those apart have
	// no verdict for a reason of their own.
	clear, unsettled, lone, strict, open, apart, withheld []*results.Comparison
	// kinds are the kinds of movement that can be ranked, worst those that fell short most.
	kinds, worst []*results.Cell
}

func newTeller(r *results.Results) *teller {
	t := &teller{r: r, s: r.Provenance.Settings, names: wording.NamesOf(r), cells: map[results.By]*results.Cell{}}
	for i := range r.Expression {
		t.cells[r.Expression[i].By] = &r.Expression[i]
	}
	by := map[casebook.Direction]*results.Comparison{}
	for i := range r.Comparisons {
		c := &r.Comparisons[i]
		if c.By.WholeInFirstSets() {
			by[c.By.Direction] = c
		}
	}
	for _, d := range casebook.Directions() {
		c, ok := by[d]
		switch {
		case !ok:
		case c.Verdict.Clear():
			t.clear = append(t.clear, c)
		case c.Verdict == results.NotDistinguishable && unsettled(c.Reason) != "":
			t.unsettled = append(t.unsettled, c)
		case c.Verdict == results.NotDistinguishable && c.Warned(results.NotAtLevel):
			t.strict = append(t.strict, c)
		case c.Verdict == results.NotDistinguishable && c.Adjusted.LeavesOutZero():
			t.lone = append(t.lone, c)
		case c.Verdict == results.NotDistinguishable:
			t.open = append(t.open, c)
		case c.Reason == results.Withheld:
			t.withheld = append(t.withheld, c)
		default:
			t.apart = append(t.apart, c)
		}
	}
	t.kinds = t.rankedKinds()
	t.worst = t.worstKinds()
	return t
}

// told are the comparisons that have a verdict, in the order in which they are drawn.
func (t *teller) told() []*results.Comparison {
	return slices.Concat(t.clear, t.unsettled, t.lone, t.strict, t.open)
}

// over is who was audited, when, and how many.
func (t *teller) over() string {
	sc := t.r.Scope
	who := wording.Capital(wording.Practices(sc.Practices))
	if len(sc.Practices) > 3 {
		who = wording.Of(len(sc.Practices), "practice")
	}
	parts := []string{who}
	if t.r.Provenance.Invented {
		parts[0] += " (invented data)"
	}
	if c := t.s.Period.Clinician; c != "" {
		parts = append(parts, "clinician "+c)
	}
	period := wording.Period(sc)
	if t.s.Period.Limited() {
		period = "courses ended in " + period
	}
	parts = append(parts, period, t.analysed())
	if f := t.r.Flow.Rows; 100*f.Rejected > f.Read { // one in a hundred: what is left out may not be like the rest
		parts = append(parts, fmt.Sprintf("%s of %s rejected", wording.Count(f.Rejected), wording.Of(f.Read, "row")))
	}
	return strings.Join(parts, " · ")
}

// analysed is how many cases and movements are in the figures, of how many on record where
// some are not: the flow, to which the line leads, says why.
func (t *teller) analysed() string {
	sc, of := t.r.Scope, results.FlowStep{Cases: t.r.Scope.Cases, Movements: t.r.Scope.Movements}
	if steps := t.r.Flow.Steps; len(steps) > 0 && !steps[0].Suppressed {
		of = steps[0]
	}
	part := func(n, of int, what string) string {
		if of <= n {
			return wording.Of(n, what)
		}
		return wording.Count(n) + " of " + wording.Of(of, what)
	}
	return part(sc.Cases, of.Cases, "case") + ", " + part(sc.Movements, of.Movements, "movement") + " analysed"
}

// quarter says which quarter is set against what, on how many cases, and whether anything
// changed; the page of what changed has the rest.
func (t *teller) quarter() string {
	q := t.r.Questions.Quarter
	if q == nil {
		return ""
	}
	now := strings.ReplaceAll(q.Now.Name, " ", "\u00a0")
	if t.r.Scope.Last == 0 || t.s.Shared && min(q.Now.Cases, q.Before.Cases) == 0 {
		return " " + now + " is set against all before; the figures here hold both."
	}
	if q.Now.Cases == 0 {
		return " No course with a measured outcome ended in " + now + "."
	}
	both := ""
	if n := q.SharedCases; n > 0 { // courses of one case may end in either
		both = ", " + wording.Count(n) + " in both"
	}
	out := fmt.Sprintf(" %s (%s) against all before (%s%s): ", now, wording.Of(q.Now.Cases, "case"), wording.Count(q.Before.Cases), both)
	if title := t.changes().Title; title != "" {
		out += lowerFirst(title) + "; "
	}
	if t.monthsMissing() {
		out += "the month in which some courses ended is taken from what followed; "
	}
	return out + "figures here hold both."
}

// ci is the name of the interval, "95 % CI".
func (t *teller) ci() string { return wording.CI(t.s.Level) }

// styled reports which styles are on record in initial courses.
func (t *teller) styled() (software, clinician int) {
	n := t.styles()
	return n[casebook.SoftwareSuggested], n[casebook.ClinicianDesigned]
}

// unattached says what is on record where neither style is: teeth without an attachment,
// or nothing about them.
func (t *teller) unattached() string {
	if t.styles()[casebook.StyleNone] > 0 {
		return "no attachment"
	}
	return "no attachment style"
}

// onlyRefinements is true where what is analysed is of refinements alone.
func (t *teller) onlyRefinements() bool {
	if t.r.Scope.Movements == 0 {
		return false
	}
	for by := range t.cells {
		if by.Course == results.Initial && by.Direction != casebook.NoDirection {
			return false
		}
	}
	return true
}

// styles counts the movements of each style in initial courses; withheld ones are some.
func (t *teller) styles() map[casebook.Style]int {
	out := map[casebook.Style]int{}
	for _, c := range t.r.Expression {
		if c.By.WholeInFirstSets() {
			out[c.By.Style] += max(c.Movements, 1)
		}
	}
	return out
}

// headline is the finding of the audit in one sentence.
func (t *teller) headline() string {
	software, clinician := t.styled()
	switch {
	case t.r.Scope.Movements == 0:
		return "No planned movement with a measured outcome is on record"
	case t.onlyRefinements():
		return "No movement of a first set of aligners is measured, refinements alone are"
	case len(t.clear) > 0:
		return wording.Capital(t.moreAndLess(t.clear)) + " achieved with clinician-designed than software-suggested attachments"
	case len(t.told()) > 0 && len(t.withheld) > 0:
		return "No clear difference in the directions whose comparison may be shown"
	case len(t.told()) > 0:
		return "No clear difference between clinician-designed and software-suggested attachments"
	case software == 0 && clinician == 0:
		return t.shortHeadline(t.unattached() + " is on record")
	case clinician == 0:
		return t.shortHeadline("no clinician-designed attachment is on record")
	case software == 0:
		return t.shortHeadline("no software-suggested attachment is on record")
	case len(t.withheld) > 0:
		return t.shortHeadline("no comparison of the attachment styles may be shown")
	}
	return t.shortHeadline("the attachment styles cannot be compared yet")
}

// shortHeadline speaks of how much was achieved where styles cannot be compared.
func (t *teller) shortHeadline(why string) string {
	if len(t.lowest()) == 0 {
		return wording.Capital(why) + ", and too few cases are measured to say how much of the plans was achieved"
	}
	return t.shortTitle() + "; " + why
}
