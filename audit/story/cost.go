package story

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// ofCases is "94 of 124 completed cases (76 %)", without the share of a handful.
func ofCases(n, of int, what string) string {
	s := fmt.Sprintf("%s of %s", wording.Count(n), wording.Of(of, what))
	if of >= 10 {
		s += " (" + wording.Share(n, of) + ")"
	}
	return s
}

// refined is the bar of refinements.
func (t *teller) refined() results.FrontFigure {
	f := t.r.Refinements
	if f.Cases == 0 {
		return results.FrontFigure{}
	}
	out := results.FrontFigure{Title: "Refinements: " + ofCases(f.AtLeastOne.Numerator, f.AtLeastOne.Denominator, "completed case") + " needed at least one", Sub: "Completed cases by number of refinements"}
	for _, w := range f.Warnings {
		switch w.ID {
		case results.CompletedUnmeasured:
			out.Sub += "; with " + w.Who
		case results.StatusUnknown:
			out.Sub += "; left out: " + w.Who
		}
	}
	if t.neverRefined() {
		out.Title = "Refinements: none on record in " + wording.Of(f.AtLeastOne.Denominator, "completed case")
	}
	if f.AtLeastOne.Denominator == 0 {
		out.Title = "Refinements: too few completed cases to show"
	}
	return out
}

// neverRefined is true where no completed case has a refinement on record: none was
// needed, or later courses are not kept.
func (t *teller) neverRefined() bool {
	x := t.r.Refinements.AtLeastOne
	return x.Denominator > 0 && x.Numerator == 0
}

// byStyle sets the refinements a case of the styles side by side. A case has no style but
// the commonest of its teeth: patients are compared, and nothing is told from it.
func (t *teller) byStyle() results.FrontFigure {
	enough := 0
	for _, x := range t.r.Refinements.ByStyle {
		enough += measure.OneIf(!x.Suppressed && x.Cases >= t.s.MinIntervalCases)
	}
	if enough < 2 { // page one has the bar of all
		return results.FrontFigure{}
	}
	f := results.FrontFigure{Title: "Refinements of completed cases", Sub: "Completed cases, all and by the main style of their first attachments"}
	var parts []string
	neither := t.r.Refinements.Cases
	for _, x := range t.r.Refinements.ByStyle {
		neither -= x.Cases
		if x.Suppressed {
			neither = 0
		}
		if !x.Suppressed && x.Rate.Value.OK() && x.Cases >= t.s.MinIntervalCases {
			parts = append(parts, wording.Style(x.Style)+" "+wording.Fixed(x.Rate.Value, 1))
		}
	}
	if neither > 0 && len(t.r.Refinements.ByStyle) > 0 && !t.s.Shared {
		f.Sub += fmt.Sprintf("; %s have no main style", wording.Count(neither))
	}
	if len(parts) > 1 {
		f.Title = "Refinements a case: " + strings.Join(parts, ", ") + ", in different patients"
	}
	if x := t.r.Questions.PlannedAgain; x != nil {
		f.Below = x.Reading + " "
	}
	if rr := t.r.Refinements.RateRatio; rr.Low.OK() && rr.High.OK() {
		f.Below += fmt.Sprintf("Between patients: mainly clinician-designed %s times as many, adjusted (%s %s to %s). It decides nothing: those who respond poorly may get both more designs and more refinements.",
			wording.Fixed(rr.Difference, 2), t.ci(), wording.Fixed(rr.Low, 2), wording.Fixed(rr.High, 2))
	}
	if slices.ContainsFunc(t.r.Refinements.Warnings, func(w results.Warning) bool { return w.ID == results.FewRefinements }) {
		f.Below += "Too few refinements in one of the styles to compare patients."
	}
	f.Below = strings.TrimSpace(f.Below)
	return f
}

// decide are the questions for the practice, the clearest first.
func (t *teller) decide() (out []string) {
	for _, a := range t.r.Questions.Reaudit.Actions {
		out = append(out, wording.Sentence(a.What))
	}
	if w := t.worst; len(w) > 0 {
		out = append(out, wording.Capital(strings.Join(t.kindsOf(w), ", "))+": plan or support differently?")
	}
	if t.onlyRefinements() {
		out = append(out, "First sets of aligners: were their outcomes measured, and where are they?")
	} else if missing := t.missingStyles(); len(missing) > 0 && t.r.Scope.Movements > 0 {
		what := "No attachment is recorded as " + missing[0]
		if len(missing) > 1 {
			what = wording.Capital(t.unattached()) + " is on record"
		}
		out = append(out, what+": none used, or not recorded?")
	}
	if t.neverRefined() {
		out = append(out, "No refinement is on record: none needed, or not recorded?")
	}
	if len(t.clear) > 0 {
		var ds []casebook.Direction
		for _, c := range t.clear {
			ds = append(ds, c.By.Direction)
		}
		out = append(out, wording.Capital(t.nounList(ds))+": review how attachments are chosen?")
	}
	switch {
	case t.s.Primary == (results.By{}) && len(t.told()) > 0:
		what := "which comparison, and which target, do we fix in advance?"
		if len(t.r.Questions.Reaudit.Criteria) > 0 {
			what = "which comparison do we fix in advance?"
		}
		out = append(out, "Before the next audit: "+what)
	case len(t.r.Questions.Reaudit.Criteria) == 0:
		out = append(out, "Before the next audit: which target do we set?")
	}
	return out[:min(len(out), 4)]
}

// record says what to write down for the next audit: only what is missing. Where the
// styles are compared and refinements counted, page one has room for what is missing
// altogether.
func (t *teller) record() (out []string) {
	full := len(t.told()) == 0 || t.r.Refinements.Cases == 0
	if d := t.r.Questions.Doubtful; d.Amounts > d.Confirmed && full {
		out = append(out, "look at "+wording.Of(d.Amounts-d.Confirmed, "movement")+" that cannot be right as recorded")
	}
	begin, more := t.unrecorded()
	if len(begin) > 0 {
		out = append(out, "begin to record "+joined(begin))
	}
	if len(more) > 0 && full {
		out = append(out, "record "+joined(more))
	}
	if len(t.r.Repeats) == 0 {
		out = append(out, "measure at least 25 movements twice, so that the error of measurement is known")
	}
	return out
}

// unrecorded lists the fields that no record has, and those that some have. What 19 in 20 have needs no advice.
func (t *teller) unrecorded() (begin, more []string) {
	for _, f := range t.r.Completeness {
		what, ok := worthRecording[f.Record+" "+f.Field]
		outcome := f.Record+" "+f.Field == "movement achieved"
		if outcome {
			f = t.outcomes(f)
		}
		switch {
		case !ok || f.Suppressed || f.Total == 0 || 20*f.Recorded >= 19*f.Total:
		case f.Recorded == 0:
			begin = append(begin, what)
		case outcome: // beside it stand other totals of movements
			more = append(more, fmt.Sprintf("%s (%s lack it)", what, wording.Count(f.Total-f.Recorded)))
		default:
			more = append(more, fmt.Sprintf("%s (%s of %s lack it)", what, wording.Count(f.Total-f.Recorded), wording.Count(f.Total)))
		}
	}
	if t.refinementsUnknown() {
		begin = append(begin, "the number of refinements of every case, 0 too")
	}
	return begin, more
}

// outcomes counts the outcomes that are missing as the flow does, which leaves courses cut
// short and plans too small apart: one number for one thing on the same page.
func (t *teller) outcomes(f results.FieldCount) results.FieldCount {
	if missing := t.r.WithoutOutcome(); t.r.Scope.Movements > 0 && !f.Suppressed {
		f.Total = t.r.Scope.Movements + missing
		f.Recorded = t.r.Scope.Movements
	}
	return f
}

// refinementsUnknown is true where completed cases are on record, and of none whether it
// was refined.
func (t *teller) refinementsUnknown() bool {
	f := t.r.Refinements
	return f.Cases == 0 && slices.ContainsFunc(f.Warnings, func(w results.Warning) bool { return w.ID == results.RefinementsUnknown })
}

// worthRecording are the fields a comparison rests on.
var worthRecording = map[string]string{
	"case clinician": "the clinician of every case", "case start month": "the month every case started", "case status": "how every case stands or ended",
	"course aligners used": "how many aligners of every course were used",
	"case wear":            "how well aligners were worn", "movement achieved": "the outcome of every planned movement", "movement direction": "the direction of every movement",
	"movement attachment style": "the attachment style of every movement", "movement staging": "whether movements were combined or sequenced",
}
