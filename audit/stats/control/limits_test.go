package control

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Just beyond 2 sigma counts, at either place; just within does not.
func TestTwoOfThreeAtItsEdge(t *testing.T) {
	assert.Equal(t, []RunSignal{{TwoOf3Beyond, 0, 2}}, RunRules([]float64{2.001, 0, 2.001}))
	assert.Empty(t, RunRules([]float64{2, 0, 2.001}))
	assert.Empty(t, RunRules([]float64{2.001, 0, 2}))
}
