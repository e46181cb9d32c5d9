package story

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
)

// TestEveryWordHasItsNames in a sentence and at the start of a row.
func TestEveryWordHasItsNames(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range casebook.Directions() {
		for _, name := range []string{noun(d), rowName(d)} {
			assert.NotEmpty(t, name, d)
			assert.False(t, seen[name], "%v is called %q as another is", d, name)
			seen[name] = true
		}
	}
	for _, a := range casebook.Axes() {
		assert.NotEmpty(t, axisNoun(a), a)
		assert.NotEmpty(t, axisRow(a), a)
	}
}
