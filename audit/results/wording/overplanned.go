package wording

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// Overplanned says, of a difference that may come of plans made larger on purpose, how large
// the plans of the two styles were and what was achieved of them, clinician-designed first;
// it is empty for any other. See results.Comparison.Overplanned.
func Overplanned(c *results.Comparison) string {
	if !c.Overplanned() {
		return ""
	}
	larger := casebook.ClinicianDesigned
	if c.Verdict == results.Higher {
		larger = casebook.SoftwareSuggested
	}
	pair := func(a results.ArmAmounts) string {
		large, other := a.Clinician, a.Software
		if larger == casebook.SoftwareSuggested {
			large, other = other, large
		}
		dec := decimals(c.Unit) + 1
		return Fixed(large, dec) + " v " + Fixed(other, dec) + UnitText(c.Unit)
	}
	return fmt.Sprintf("Plans with %s attachments were larger (%s), and not clearly less was moved (%s): see overcorrection in the methods.",
		Style(larger), pair(c.Amounts.Planned), pair(c.Amounts.Achieved))
}
