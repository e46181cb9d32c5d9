package casesheet

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
)

func TestOnlyTheLowestTenthIsAskedAbout(t *testing.T) {
	ask := func(rank results.Number) string {
		return caseQuestions(&results.CaseSheet{Planned: 1, Measured: 1, Movements: []results.SheetMovement{{Band: results.Band{Cases: 20, Rank: rank}}}})[0]
	}
	assert.Contains(t, ask(0.05), "lowest tenth")
	assert.Contains(t, ask(0.5), "Nothing in this case stands out")
}
