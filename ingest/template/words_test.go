package template

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// TestEveryAxisIsExplained in plain words, both ways.
func TestEveryAxisIsExplained(t *testing.T) {
	for _, a := range casebook.Axes() {
		assert.NotEmpty(t, directions[a][0], a)
		assert.NotEmpty(t, directions[a][1], a)
	}
}
