package decide

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// TestEveryNotationIsNamed as a sentence writes it.
func TestEveryNotationIsNamed(t *testing.T) {
	for n := range casebook.NotationCount {
		assert.NotEmpty(t, notationNames[casebook.Notation(n+1)], n+1)
	}
}
