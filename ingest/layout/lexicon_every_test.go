package layout_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

// TestEveryDirectionIsUnderstood by its own name, where the axis is known.
func TestEveryDirectionIsUnderstood(t *testing.T) {
	for _, d := range casebook.Directions() {
		got, ok := lexicon.DirectionAlong(lexicon.Of(lexicon.Tokens(d.String())), d.Axis())
		assert.True(t, ok, d)
		assert.Equal(t, d, got)
	}
}
