package wording

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWording(t *testing.T) {
	assert.Equal(t, "0", Rounded(-0.3))
	assert.Equal(t, "−4 points", InPoints(-3.6))
	assert.Equal(t, "1 point", InPoints(1.4))
	assert.Equal(t, "0 points", InPoints(-0.4))
	assert.Equal(t, "0.0", SignedDecimal(-0.04, 1))
	assert.Equal(t, "0", SignedDecimal(0.4, 0))
	assert.Equal(t, "−0.1", SignedDecimal(-0.05001, 1))
	assert.Equal(t, "+3", SignedDecimal(2.6, 0))
}
