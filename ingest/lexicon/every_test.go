package lexicon

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// TestEveryDirectionIsUnderstood by its own name, where the axis is known.
func TestEveryDirectionIsUnderstood(t *testing.T) {
	for _, d := range casebook.Directions() {
		got, ok := DirectionAlong(Of(Tokens(d.String())), d.Axis())
		assert.True(t, ok, d)
		assert.Equal(t, d, got)
	}
}
