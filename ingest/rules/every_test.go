package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// TestEveryAxisHasItsLimit, below what is no tooth movement at all.
func TestEveryAxisHasItsLimit(t *testing.T) {
	for _, a := range casebook.Axes() {
		assert.Positive(t, unlikely[a], a)
		assert.Empty(t, Judge(a, unlikely[a]), a)
		assert.Equal(t, AmountUnlikely, Judge(a, 1.01*unlikely[a]), a)
	}
}
