package declare

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
)

// TestPercentOrRatioIsAsked: 60 is 60 % or 6000 %, and nobody guesses which.
func TestPercentOrRatioIsAsked(t *testing.T) {
	check := func(target float64) error {
		return CheckCriteria(&results.Criteria{Version: 1, Criteria: []results.Criterion{{Name: "e", Measure: results.ExpressionRatio, AtLeast: &target}}})
	}
	assert.ErrorContains(t, check(60), "is it 60 % or 6000 % of the plan")
	assert.NoError(t, check(0.6))
	assert.NoError(t, check(2))
	assert.Error(t, check(2.1))
}
