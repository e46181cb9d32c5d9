package audittest_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/casesheet"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

func TestOnlyTheLowestTenthIsAskedAbout(t *testing.T) {
	ask := func(rank results.Number) string {
		return casesheet.Questions(&results.CaseSheet{Planned: 1, Measured: 1, Movements: []results.SheetMovement{{Band: results.Band{Cases: 20, Rank: rank}}}})[0]
	}
	assert.Contains(t, ask(0.05), "lowest tenth")
	assert.Contains(t, ask(0.5), "Nothing in this case stands out")
}

// Nothing recorded of losses is not "none lost".
func TestLossesNobodyRecordedAreNotCounted(t *testing.T) {
	own := []*casebook.Movement{{Course: 1, Tooth: 11}, {Course: 1, Tooth: 21}}
	assert.Nil(t, casesheet.CountLost(own))
	own[0].Lost = casebook.Some(false)
	assert.Equal(t, new(0), casesheet.CountLost(own))
	own[1].Lost = casebook.Some(true)
	assert.Equal(t, new(1), casesheet.CountLost(own))
}
