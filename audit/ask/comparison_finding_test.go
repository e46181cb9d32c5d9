package ask_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/ask/comparison"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestAssociationNamesTheLimit: the E-value in a finding is that of the limit.
func TestAssociationNamesTheLimit(t *testing.T) {
	c := &results.Comparison{Verdict: results.Higher, EValue: results.EValue{Estimate: 4.4, Limit: 2.3}}
	assert.Contains(t, comparison.AssociationLimit(c), "related 2.3-fold to both")
	assert.NotContains(t, comparison.AssociationLimit(c), "4.4")
	c.Verdict = results.NotDistinguishable
	assert.NotContains(t, comparison.AssociationLimit(c), "fold")
}

// TestCouldSeeIsOneNumberWhereBothAreAlike: what could have been missed is one number where
// the sharpest and the bluntest direction round to the same.
func TestCouldSeeIsOneNumberWhereBothAreAlike(t *testing.T) {
	of := func(xs ...results.Number) (out []*results.Comparison) {
		for _, x := range xs {
			out = append(out, &results.Comparison{Detectable: x})
		}
		return out
	}
	assert.Equal(t, "differences under 14 points", comparison.CouldSee(of(0.141, 0.138)))
	assert.Equal(t, "differences under 9 to 14 points", comparison.CouldSee(of(0.141, 0.09)))
	assert.Equal(t, "differences under 9 points", comparison.CouldSee(of(results.NotEstimable, 0.09)))
}

// TestWhyNothingIsCompared: what is not on record at all is named, and never said of what
// is kept back; else each comparison has its own reason, and no other is said.
func TestWhyNothingIsCompared(t *testing.T) {
	of := func(software, clinician int, reasons ...string) *results.Results {
		r := &results.Results{Provenance: results.Provenance{Settings: results.DefaultSettings()}, Scope: results.Scope{Movements: 18}}
		for i, reason := range reasons {
			d := casebook.Directions()[i]
			r.Comparisons = append(r.Comparisons, results.Comparison{
				By: results.By{Axis: d.Axis(), Direction: d, Course: results.Initial}, Reason: reason, Verdict: results.NotComparable, Both: 30,
				Arms: []results.Arm{{Style: casebook.ClinicianDesigned, Movements: clinician}, {Style: casebook.SoftwareSuggested, Movements: software}},
			})
		}
		return r
	}
	why := func(r *results.Results) string { return comparison.WhyNone(r, comparison.All(r), "direction") }
	assert.Equal(t, "no clinician-designed attachment is on record", why(of(9, 0, "different-patients")))
	assert.Equal(t, "no software-suggested attachment is on record", why(of(0, 9, "different-patients")))
	assert.Equal(t, "no attachment of either style is on record", why(&results.Results{}))
	assert.Equal(t, "fewer than 10 patients carry both styles", why(of(9, 9, "different-patients")))
	for reason, says := range map[string]string{
		"no-overlap": "hardly overlap", "few-degrees-of-freedom": "a few patients would carry", "not-estimable": "cannot be estimated",
		"essential-not-adjusted": "to adjust for", "no-earlier-course": "no earlier course", "nothing-later": "since the comparison was declared", "not-a-look": "declared looks", results.Withheld: "may not leave the practice",
	} {
		for _, n := range []int{9, 0} { // none on record is not said of what is withheld
			if n == 0 && reason != results.Withheld {
				continue
			}
			text := why(of(9, n, reason))
			assert.Contains(t, text, says)
			assert.NotContains(t, text, "fewer than", "%s: 30 patients carry both", reason)
			if reason == results.Withheld {
				assert.NotContains(t, text, "on record")
			}
		}
	}
	assert.Equal(t, "in 2\u00a0directions a few patients would carry the comparison and in 1 the plans of the two styles hardly overlap in size",
		why(of(9, 9, "few-degrees-of-freedom", "no-overlap", "few-degrees-of-freedom")))
	f, ok := comparison.StyleFinding(of(9, 9, "few-degrees-of-freedom", "few-degrees-of-freedom"))
	assert.True(t, ok)
	assert.Contains(t, f.Text, "cannot be judged yet: in each of 2\u00a0directions a few patients would carry the comparison.")
	assert.NotContains(t, comparison.Section(of(9, 0, "different-patients")).Lines[1].Text, "carry both")
	assert.Len(t, comparison.Section(&results.Results{}).Lines, 1, "nothing is said of how styles are compared that are not on record")
}

// TestADeclaredComparisonThatIsWithheld is not called one that cannot be made.
func TestADeclaredComparisonThatIsWithheld(t *testing.T) {
	r := &results.Results{Comparisons: []results.Comparison{{Primary: true, Reason: results.Withheld, Verdict: results.NotComparable, By: results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}}}}
	f, ok := comparison.PrimaryFinding(r)
	assert.True(t, ok)
	assert.Contains(t, f.Text, "may not leave the practice")
	assert.NotContains(t, f.Text, "not comparable")
}
