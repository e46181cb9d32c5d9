package room

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
)

// TestExpectedChangeIsARange: from what the method error alone gives up to all variation
// within the tooth, never one end alone; from nothing where the error is not known.
func TestExpectedChangeIsARange(t *testing.T) {
	none := results.Number(math.NaN())
	assert.Equal(t, "+5 to +20", expectedChange(results.RegressionToMean{Change: 0.05, AtMost: 0.2}))
	assert.Equal(t, "0 to +20", expectedChange(results.RegressionToMean{Change: none, AtMost: 0.2}))
	assert.Equal(t, "–", expectedChange(results.RegressionToMean{Change: 0.05, AtMost: none}))
}
