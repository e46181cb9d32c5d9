package decide

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// TestEveryNotationIsNamed as a sentence writes it.
func TestEveryNotationIsNamed(t *testing.T) {
	for n := range casebook.NotationCount {
		assert.NotEmpty(t, notationNames[casebook.Notation(n+1)], n+1)
	}
}

// A word of a sheet is repeated unless it may name somebody.
func TestWordsThatAreShown(t *testing.T) {
	for text, shown := range map[string]bool{
		"Körperlich oral/vestibulär": true, "gliding oral/vestibular all in one": true, "roll": true,
		"rotation as Kowalski wanted it done": false, "seen on the 12 of August with 7": false, "Anna Schmidt": false,
	} {
		assert.Equal(t, shown, shownWord(text, "") == text, text)
	}
}

// Each direction that a word may mean is told by its own name.
func TestChoicesOfADirection(t *testing.T) {
	for _, axis := range append(casebook.Axes(), casebook.NoAxis) {
		said := map[string]bool{}
		for _, c := range aboutDirection(question.Question{}, "sideways", axis, 3).Choices {
			assert.Contains(t, c.Text, c.Word)
			assert.False(t, said[c.Text], c.Text)
			said[c.Text] = true
		}
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
