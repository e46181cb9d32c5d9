package audittest_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results"
)

// TestSmallestPlanIsOneThatCanBeMeasured: below it multiples of the smallest plan overflow
// when they are squared.
func TestSmallestPlanIsOneThatCanBeMeasured(t *testing.T) {
	for smallest, fine := range map[float64]bool{1e-6: true, 0.99e-6: false, 1e-200: false, 0: false, -1: false} {
		s := results.DefaultSettings()
		s.SmallestMM = smallest
		assert.Equal(t, fine, s.Check() == nil, smallest)
		s = results.DefaultSettings()
		s.SmallestDeg = smallest
		assert.Equal(t, fine, s.Check() == nil, smallest)
	}
}
