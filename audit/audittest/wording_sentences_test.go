package audittest_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/results/wording"
)

func TestWording(t *testing.T) {
	assert.Equal(t, "0", wording.Rounded(-0.3))
	assert.Equal(t, "−4 points", wording.InPoints(-3.6))
	assert.Equal(t, "1 point", wording.InPoints(1.4))
	assert.Equal(t, "0 points", wording.InPoints(-0.4))
	assert.Equal(t, "0.0", wording.SignedDecimal(-0.04, 1))
	assert.Equal(t, "0", wording.SignedDecimal(0.4, 0))
	assert.Equal(t, "−0.1", wording.SignedDecimal(-0.05001, 1))
	assert.Equal(t, "+3", wording.SignedDecimal(2.6, 0))
}
