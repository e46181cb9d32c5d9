package comparison

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
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
