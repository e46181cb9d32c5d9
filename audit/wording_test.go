package audit

import (
	"math"
	"testing"

	"shortfall/audit/results"

	"github.com/stretchr/testify/assert"
)

func TestWording(t *testing.T) {
	assert.Equal(t, "0", whole(-0.3))
	assert.Equal(t, "−4 points", points(-3.6))
	assert.Equal(t, "1 point", points(1.4))
	assert.Equal(t, "0 points", points(-0.4))
	assert.Equal(t, "0.0", signed(-0.04, 1))
	assert.Equal(t, "0", signed(0.4, 0))
	assert.Equal(t, "−0.1", signed(-0.05001, 1))
	assert.Equal(t, "+3", signed(2.6, 0))
	assert.Equal(t, "52 %", percent(0.523))
	assert.Equal(t, "not estimable", percent(results.Number(math.NaN())))
	assert.Equal(t, "1 case", count(1, "case"))
	assert.Equal(t, "0 cases", count(0, "case"))
}
