package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/control"
)

// Just beyond 2 sigma counts, at either place; just within does not.
func TestTwoOfThreeAtItsEdge(t *testing.T) {
	assert.Equal(t, []control.RunSignal{{Rule: control.TwoOf3Beyond, First: 0, Last: 2}}, control.RunRules([]float64{2.001, 0, 2.001}))
	assert.Empty(t, control.RunRules([]float64{2, 0, 2.001}))
	assert.Empty(t, control.RunRules([]float64{2.001, 0, 2}))
}
