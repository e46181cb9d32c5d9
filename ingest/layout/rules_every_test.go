package layout_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// TestEveryAxisHasItsLimit, below what is no tooth movement at all.
func TestEveryAxisHasItsLimit(t *testing.T) {
	for _, a := range casebook.Axes() {
		assert.Positive(t, rules.Unlikely[a], a)
		assert.Empty(t, rules.Judge(a, rules.Unlikely[a]), a)
		assert.Equal(t, rules.AmountUnlikely, rules.Judge(a, 1.01*rules.Unlikely[a]), a)
	}
}
