package results

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestSmallestPlanIsOneThatCanBeMeasured: below it multiples of the smallest plan overflow
// when they are squared.
func TestSmallestPlanIsOneThatCanBeMeasured(t *testing.T) {
	for smallest, fine := range map[float64]bool{leastPlan: true, 0.99 * leastPlan: false, 1e-200: false, 0: false, -1: false} {
		s := DefaultSettings()
		s.SmallestMM = smallest
		assert.Equal(t, fine, s.Check() == nil, smallest)
		s = DefaultSettings()
		s.SmallestDeg = smallest
		assert.Equal(t, fine, s.Check() == nil, smallest)
	}
}
