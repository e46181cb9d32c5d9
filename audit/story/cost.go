package story

import (
	"fmt"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

func trim(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

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
	with := ""
	for _, w := range f.Warnings {
		if w.ID == results.CompletedUnmeasured {
			with = "; with " + w.Text[:strings.Index(w.Text, ":")]
		}
	}
	out.Sub += with
	if f.AtLeastOne.Denominator == 0 {
		out.Title = "Refinements: too few completed cases to show"
	}
	if rr := f.RateRatio; rr.Low.OK() && rr.High.OK() {
		word := "No clear difference by main style: clinician-designed %s times the refinements a case"
		switch {
		case rr.Low > 1:
			word = "More with mainly clinician-designed attachments: %s times the refinements a case"
		case rr.High < 1:
			word = "Fewer with mainly clinician-designed attachments: %s times the refinements a case"
		}
		out.Below = fmt.Sprintf(word+" (%s %s to %s)", wording.Fixed(rr.Difference, 2), t.ci(), wording.Fixed(rr.Low, 2), wording.Fixed(rr.High, 2)) + with // printed in the place of the line above
	}
	return out
}

// byStyle sets the refinements a case of the styles side by side.
func (t *teller) byStyle() results.FrontFigure {
	f := results.FrontFigure{Title: "Refinements of completed cases", Sub: "Completed cases, all and by the main style of their first attachments", Below: t.refined().Below}
	var parts []string
	for _, x := range t.r.Refinements.ByStyle {
		if !x.Suppressed && x.Rate.Value.OK() && x.Cases >= t.s.MinIntervalCases {
			parts = append(parts, wording.Style(x.Style)+" "+wording.Fixed(x.Rate.Value, 1))
		}
	}
	if len(parts) > 1 {
		f.Title = "Refinements a case: " + strings.Join(parts, ", ")
		if rr := t.r.Refinements.RateRatio; rr.Low <= 1 && rr.High >= 1 {
			f.Title += "; no clear difference"
		}
	}
	if f.Below != "" {
		f.Below += ". An association between cases, not an effect of the attachment."
	}
	return f
}

// decide are the questions for the practice, the clearest first.
func (t *teller) decide() (out []string) {
	for _, a := range t.r.Questions.Reaudit.Actions {
		out = append(out, wording.Sentence(a.What))
	}
	if w := t.worst(); len(w) > 0 {
		out = append(out, wording.Capital(strings.Join(t.kindsOf(w), ", "))+": plan or support differently?")
	}
	if style := t.missingStyle(); style != "" && t.r.Scope.Movements > 0 {
		out = append(out, "No attachment is recorded as "+style+": none used, or not recorded?")
	}
	if len(t.clear) > 0 {
		var ds []casebook.Direction
		for _, c := range t.clear {
			ds = append(ds, c.By.Direction)
		}
		out = append(out, wording.Capital(t.nounList(ds))+": review how attachments are chosen for these?")
	}
	switch {
	case t.s.Primary == (results.By{}) && len(t.told()) > 0:
		out = append(out, "Before the next audit: which comparison, and which target, do we declare?")
	case len(t.r.Questions.Reaudit.Criteria) == 0:
		out = append(out, "Before the next audit: which target do we set?")
	}
	return out[:min(len(out), 4)]
}

// record says what to write down for the next audit: only what is missing.
func (t *teller) record() (out []string) {
	if n := t.r.Questions.Doubtful.Amounts; n > 0 {
		out = append(out, "look at "+wording.Of(n, "movement")+" that cannot be right as recorded")
	}
	var fields []string
	for _, f := range t.r.Completeness { // what 19 in 20 have needs no advice
		what, ok := worthRecording[f.Record+" "+f.Field]
		if !ok || f.Suppressed || f.Total == 0 || 20*f.Recorded >= 19*f.Total {
			continue
		}
		fields = append(fields, fmt.Sprintf("%s (%s of %s have it)", what, wording.Count(f.Recorded), wording.Count(f.Total)))
	}
	if len(fields) > 0 {
		out = append(out, "record "+joined(fields))
	}
	if len(t.r.Repeats) == 0 {
		out = append(out, "measure at least 25 movements twice, so that the error of measurement is known")
	}
	return out
}

// worthRecording are the fields a comparison rests on.
var worthRecording = map[string]string{
	"case clinician": "the clinician of every case", "case start month": "the month every case started", "case status": "how every case stands or ended",
	"course aligners used": "how many aligners of every course were used",
	"case wear":            "how well aligners were worn", "movement achieved": "the outcome of every planned movement", "movement direction": "the direction of every movement",
	"movement attachment style": "the attachment style of every movement", "movement staging": "whether movements were combined or sequenced",
}
