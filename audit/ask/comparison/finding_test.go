package comparison

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestAssociationNamesTheLimit: the E-value in a finding is that of the limit.
func TestAssociationNamesTheLimit(t *testing.T) {
	c := &results.Comparison{Verdict: results.Higher, EValue: results.EValue{Estimate: 4.4, Limit: 2.3}}
	assert.Contains(t, associationLimit(c), "related 2.3-fold to both")
	assert.NotContains(t, associationLimit(c), "4.4")
	c.Verdict = results.NotDistinguishable
	assert.NotContains(t, associationLimit(c), "fold")
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
	assert.Equal(t, "differences under 14 points", couldSee(of(0.141, 0.138)))
	assert.Equal(t, "differences under 9 to 14 points", couldSee(of(0.141, 0.09)))
	assert.Equal(t, "differences under 9 points", couldSee(of(results.NotEstimable, 0.09)))
}

// TestWhyNothingIsCompared: what is not on record at all is named, and never said of what
// is kept back.
func TestWhyNothingIsCompared(t *testing.T) {
	of := func(software, clinician int, reason string) *results.Results {
		return &results.Results{Provenance: results.Provenance{Settings: results.DefaultSettings()}, Comparisons: []results.Comparison{{
			Reason: reason, Verdict: results.NotComparable, Arms: []results.Arm{{Style: casebook.ClinicianDesigned, Movements: clinician}, {Style: casebook.SoftwareSuggested, Movements: software}},
		}}}
	}
	assert.Equal(t, "no clinician-designed attachment is on record", whyNone(of(9, 0, "different-patients")))
	assert.Equal(t, "no software-suggested attachment is on record", whyNone(of(0, 9, "different-patients")))
	assert.Equal(t, "no attachment of either style is on record", whyNone(&results.Results{}))
	for _, r := range []*results.Results{of(9, 9, "different-patients"), of(9, 0, results.Withheld), of(0, 0, results.Withheld)} {
		assert.Contains(t, whyNone(r), "in no direction do 10 patients carry both styles")
	}
	assert.NotContains(t, section(of(9, 0, "different-patients")).Lines[1].Text, "carry both")
	assert.Len(t, section(&results.Results{}).Lines, 1, "nothing is said of how styles are compared that are not on record")
}
