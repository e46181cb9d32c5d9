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

// What moves comes before where to, each choice says all of what it means, and no two
// say the same.
func TestChoicesOfAMovement(t *testing.T) {
	choices, near := movementChoices("rotate distally", "")
	var first []string
	for _, c := range choices[:near] {
		first = append(first, c.Word)
	}
	assert.Equal(t, []string{"rotation", "rotation mesial-in", "rotation mesial-out"}, first)
	said := map[string]bool{}
	for _, c := range choices {
		assert.False(t, said[c.Text], c.Text)
		assert.Contains(t, c.Text, c.Word)
		said[c.Text] = true
	}
}
