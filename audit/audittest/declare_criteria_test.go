package audittest_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/declare"
	"shortfall/audit/results"
)

// TestPercentOrRatioIsAsked: 60 is 60 % or 6000 %, and nobody guesses which.
func TestPercentOrRatioIsAsked(t *testing.T) {
	check := func(target float64) error {
		return declare.CheckCriteria(&results.Criteria{Version: 1, Criteria: []results.Criterion{{Name: "e", Measure: results.ExpressionRatio, AtLeast: &target}}})
	}
	assert.ErrorContains(t, check(60), "is it 60 % or 6000 % of the plan")
	assert.NoError(t, check(0.6))
	assert.NoError(t, check(2))
	assert.Error(t, check(2.1))
}

// TestBaselineAcrossAChange: quarters before and after a change have no one centre; the
// dates are named. Quarters before it, or from it on, are fine.
func TestBaselineAcrossAChange(t *testing.T) {
	file := func(baseline, change string) string {
		return "version = 1\n[[criterion]]\nname = \"Extrusion\"\nmeasure = \"outside tolerance\"\ndirection = \"extrusion\"\nat_most = 0.3\nbaseline = [" + baseline + "]\n[[change]]\nmonth = \"" + change + "\"\ndescription = \"sequenced\"\n"
	}
	for _, change := range []string{"2025-02", "2025-04", "2025-06"} {
		_, err := declare.ParseCriteria("criteria.toml", []byte(file(`"2025 Q1", "2025 Q2"`, change)))
		assert.ErrorContains(t, err, "the change of "+change+" lies inside the baseline of \"Extrusion\" (2025 Q1 to 2025 Q2)")
	}
	for _, change := range []string{"2024-12", "2025-01", "2025-07"} {
		_, err := declare.ParseCriteria("criteria.toml", []byte(file(`"2025 Q1", "2025 Q2"`, change)))
		assert.NoError(t, err, change)
	}
}
