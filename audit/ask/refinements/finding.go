package refinements

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

// findings say what shortfall cost.
func findings(r *results.Results) []results.Finding {
	f := &r.Refinements
	if f.Cases == 0 || !f.AtLeastOne.Value.OK() {
		return nil
	}
	text := fmt.Sprintf("%s of %s needed a refinement", wording.Percent(f.AtLeastOne.Value), wording.Of(f.Cases, "completed case"))
	if f.AtLeastOne.Low.OK() {
		text += fmt.Sprintf(" (%s %s to %s)", wording.CI(r.Provenance.Settings.Level), wording.Whole(f.AtLeastOne.Low), wording.Whole(f.AtLeastOne.High))
	}
	if f.Mean.Value.OK() {
		text += fmt.Sprintf(", %s a case on average", wording.Fixed(f.Mean.Value, 1))
	}
	text += "."
	if f.AtLeastOne.Numerator == 0 {
		text = "No refinement is on record of " + wording.Of(f.Cases, "completed case") + ": none was needed, or none was recorded."
	}
	for _, w := range f.Warnings {
		if w.ID == results.StatusUnknown {
			text += " Left out: " + w.Who + "."
		}
	}
	return []results.Finding{{
		Kind: results.NeededRefinement, Text: text,
		Limits:   "Completed cases only; a refinement is also a wish of patient and clinician.",
		Action:   "Which movements planned again could have been seen coming at the first plan?",
		Warnings: f.Warnings,
		Rests:    []results.Basis{{Table: "refinements.figure"}},
	}}
}
