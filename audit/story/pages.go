package story

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/compare"
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
		p.Lead = fmt.Sprintf("Named are the lowest kinds with %d or more cases: beyond chance below a typical kind. The lowest of many are partly low by chance; why is not shown.", t.s.MinIntervalCases)
	}
	return p
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
		p.Statements = append(p.Statements, t.lonely(c))
	}
	switch {
	case len(t.clear) > 0:
		p.Lead = strings.TrimSpace("Clinician-designed against software-suggested attachments, within the same patients and courses. " + t.survived() + " " + t.power())
	case len(t.told()) > 0:
		p.Lead = strings.TrimSpace("Within the same patients and courses no direction differed clearly, which is not the same as no difference. " + strings.TrimSpace(t.missed()+" "+t.power()))
	default:
		p.Lead = "The styles cannot be compared: " + t.whyApart() + ". " + t.needBoth()
	}
	if text := t.inAll(); text != "" {
		p.Statements = append(p.Statements, results.Statement{Text: text})
	}
	return p
}

// survived says which checks every clear difference passed.
func (t *teller) survived() string {
	var names []string
	for _, k := range t.clear[0].Checks {
		all := checkWords[k.ID] != ""
		for _, c := range t.clear {
			all = all && passed(c, k.ID)
		}
		if all {
			names = append(names, checkWords[k.ID])
		}
	}
	if len(names) == 0 {
		return ""
	}
	subject := "The"
	if len(t.clear) > 1 {
		subject = "Each"
	}
	out := subject + " difference held up " + joined(names) + "."
	if n := t.r.Scope.Clinicians; n < fewClinicians && slices.Contains(names, checkWords[compare.WithoutClinician]) {
		out += " " + wording.Capital(wording.Of(n, "clinician")) + are(n) + " too few to say anything about clinicians."
	}
	return out
}

func are(n int) string {
	if n == 1 {
		return " is"
	}
	return " are"
}

// fewClinicians: below ten nothing is said of clinicians (our convention).
const fewClinicians = 10

func passed(c *results.Comparison, id string) bool {
	for _, k := range c.Checks {
		if k.ID == id {
			return k.Applies && k.Decides && k.Holds
		}
	}
	return false
}

// checkWords say in plain English under what a finding stayed what it is.
var checkWords = map[string]string{
	compare.WithoutDoubted: "without amounts that cannot be right", compare.WithoutPatient: "without the patient who matters most to it", compare.Winsorised: "with extreme values toned down", compare.MissingAlike: "with missing outcomes counted as no difference",
	compare.WithoutClinician: "without any one clinician", compare.WithoutClass: "without any one kind of tooth", compare.FullyAdjusted: "with what the adjustment had left out added",
}

// notSettled says in plain English which check a difference beyond chance failed.
func notSettled(c *results.Comparison) string {
	switch compare.Reason(c.Reason) {
	case compare.OnePatient:
		return "One patient decides: without that patient it is within chance."
	case compare.OutlyingValues:
		return "A few extreme values decide: with them toned down it is within chance."
	case compare.MissingOutcomes:
		return "Missing outcomes could decide: counted as no difference, they bring it within chance."
	case compare.OneClinician:
		return "One clinician decides: without that clinician's cases the difference goes, or turns round."
	case compare.LeftUnadjusted:
		return "What could not be adjusted for decides: with " + joined(c.NotAdjusted) + " it is within chance."
	case compare.ClassesDiffer:
		return "Kinds of tooth differ, or one kind decides: one number for all teeth would mislead, and the tables give each kind."
	}
	return c.Because
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
	return "too few patients carry both for one movement, or their plans are too unlike in size"
}

// statement is a clear difference in one sentence.
func (t *teller) statement(c *results.Comparison) results.Statement {
	d := difference(c)
	size, low, high, word := d.Difference, d.Low, d.High, "more"
	if size < 0 {
		size, low, high, word = -size, -high, -low, "less"
	}
	amount := ""
	if same, ok := sameMouth(c); ok && same.InUnit.Value.OK() {
		amount = "; " + wording.Fine(results.Number(math.Abs(float64(same.InUnit.Value))), c.Unit) + " on an average plan"
	}
	return results.Statement{
		Text: fmt.Sprintf("%s: %s %s of the plan was achieved with clinician-designed attachments (%s %s%s; %s with both styles).", wording.Capital(t.noun(c.By.Direction)),
			wording.Of(whole(size), "point"), word, t.ci(), unsigned(wording.PointLimits(low, high)), amount, wording.Of(c.Both, "patient")),
		Cells: []results.By{c.By},
	}
}

// lonely is a difference that may be chance among the several looked at.
func (t *teller) lonely(c *results.Comparison) results.Statement {
	s, noun := t.statement(c), wording.Capital(t.noun(c.By.Direction))
	s.Text = noun + ", not settled" + strings.TrimSuffix(strings.TrimPrefix(s.Text, noun), ".") + ". It may be chance, as one of " + directionsCount(len(t.told())) + " looked at."
	return s
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
		if w.ID == results.RefinementsUnknown {
			return "Refinements cannot be counted: " + w.Text + "."
		}
	}
	return "No completed case is on record, so refinements cannot be counted."
}

// lossSentence sets the styles' lost attachments side by side.
func (t *teller) lossSentence() string {
	var parts []string
	for _, x := range t.r.Losses {
		if x.ToothClass != casebook.NoClass || x.Suppressed || x.Lost.Denominator == 0 || x.Style == casebook.StyleNone {
			continue
		}
		parts = append(parts, fmt.Sprintf("%s of the %s", ofCount(x.Lost), wording.Style(x.Style)))
	}
	if len(parts) == 0 {
		return ""
	}
	return "Attachments lost during a course: " + joined(parts) + " ones."
}

func ofCount(s results.Share) string {
	out := wording.Count(s.Numerator) + " of " + wording.Count(s.Denominator)
	if s.Denominator >= 10 {
		out += " (" + wording.Share(s.Numerator, s.Denominator) + ")"
	}
	return out
}

// errorSentence says what measuring twice tells.
func (t *teller) errorSentence() string {
	var parts, above, ways []string
	for _, e := range t.r.Repeats {
		if e.SmallestDetectable.OK() {
			parts = append(parts, wording.Fine(e.SmallestDetectable, e.Unit))
			ways = append(ways, wording.Measured("", t.r.ErrorWay(&e)))
			if tol := t.s.Tolerance(e.Unit); float64(e.SmallestDetectable) > tol && !slices.Contains(above, wording.Setting(tol)+wording.UnitText(e.Unit)) {
				above = append(above, wording.Setting(tol)+wording.UnitText(e.Unit))
			}
		}
	}
	if len(parts) == 0 {
		return "No movement was measured twice, so the error of measurement is not known."
	}
	one := len(slices.Compact(slices.Clone(ways))) == 1 // said once, behind the last
	for i := range parts {
		if way := strings.TrimPrefix(ways[i], ", "); way != "" && (!one || i == len(parts)-1) {
			parts[i] += " (" + way + ")"
		}
	}
	out := fmt.Sprintf("Measured twice: in a single movement, a difference below %s may be nothing but measurement error.", strings.Join(parts, " or "))
	if len(above) > 0 {
		out += fmt.Sprintf(" That is more than the tolerance of %s, so whether a single movement ended outside cannot be told.", strings.Join(above, " and "))
	}
	return out
}

// flow leaves out steps that lose nothing.
func (t *teller) flow() results.FrontFlow {
	f := t.r.Flow
	out := results.FrontFlow{FrontFigure: results.FrontFigure{
		Title: fmt.Sprintf("Who is in it: %s of %s", wording.Of(t.r.Scope.Movements, "movement"), wording.Of(t.r.Scope.Cases, "case")),
		Sub:   "From rows read to movements analysed; below each step what leaves before the next",
	}}
	first := results.FrontStep{Count: wording.Of(f.Rows.Read, "row"), Title: "read"}
	for _, o := range []struct {
		n    int
		text string
	}{{f.Rows.Rejected, "rejected, reasons kept"}, {f.Rows.Blank, "empty, totals, examples"}, {f.Superseded, "corrected or completed by a later file"}} {
		if o.n > 0 {
			first.Left = append(first.Left, wording.Count(o.n)+" "+o.text)
		}
	}
	if len(first.Left) > 0 {
		first.Left = append(first.Left, otherRows(f)...)
		out.Steps = append(out.Steps, first)
	}
	for i, s := range f.Steps {
		if len(s.Excluded) == 0 && i < len(f.Steps)-1 {
			continue
		}
		step := results.FrontStep{Count: wording.Of(s.Movements, "movement"), Title: stepTitle(s.Title), Step: i + 1}
		if !s.Suppressed {
			step.Title += ", in " + wording.Of(s.Cases, "case")
		}
		for _, e := range s.Excluded {
			step.Left = append(step.Left, exclusion(e))
		}
		out.Steps = append(out.Steps, step)
	}
	return out
}

// otherRows says why the rows that were accepted are not as many as the movements.
func otherRows(f results.Flow) []string {
	switch n := f.Rows.Accepted - f.Superseded - f.Steps[0].Movements; {
	case n > 0:
		return []string{wording.Count(n) + " about cases, courses or repeated measurements"}
	case n < 0:
		return []string{"a row may hold several movements"}
	}
	return nil
}

func exclusion(e results.Exclusion) string {
	n := e.Movements
	if n == 0 {
		n = e.Rows
	}
	if text, ok := leavingWords[e.ID]; ok {
		return wording.Count(n) + " " + text
	}
	return wording.Count(n) + " " + lowerFirst(e.Reason)
}

// leavingWords fit below a box of the flow; the whole ones stand in the annexes.
var leavingWords = map[string]string{
	"other-clinician": "other clinicians'", "after-period": "begun later", "course-not-ended": "not ended, or no month of their end on record", "outside-period": "ended earlier",
	"not-planned": "nothing planned along this axis", "below-smallest-plan": "plan too small for a ratio",
	"course-cut-short": "course cut short, counted apart", "outcome-missing": "outcome not measured",
}

// stepWords fit into a box of the flow.
var stepWords = map[string]string{
	"With numbers that can be read": "that can be read", "Planned, not as a percentage alone": "planned, large enough for a ratio", "Movements on record": "on record",
	"Planned, course used in full or use not recorded": "of courses not cut short", "Analysed: planned and outcome measured": "analysed",
	"Analysed, attachment style recorded": "analysed, style on record", "Analysed, with a software-suggested or clinician-designed attachment": "with an attachment of either style",
}

func stepTitle(s string) string {
	if w, ok := stepWords[s]; ok {
		return w
	}
	return lowerFirst(s)
}

func lowerFirst(s string) string {
	for i, r := range s {
		return strings.ToLower(string(r)) + s[i+len(string(r)):]
	}
	return s
}
