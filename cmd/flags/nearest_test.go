package flags

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNearest(t *testing.T) {
	words := []string{"audit", "ingest", "template", "replay", "schema", "version", "map"}
	for typed, want := range map[string]string{
		"adit": "audit", "audti": "audit", "ingets": "ingest", "temp": "template", "Schema": "schema",
		"mpa": "map", "forecast": "", "x": "", "": "",
	} {
		assert.Equal(t, want, nearest(typed, words), "%q", typed)
	}
}

// TestEditDistance checks the two textbook pairs (kitten/sitting 3, ca/ac 1 by
// a swap) and the laws of a distance.
func TestEditDistance(t *testing.T) {
	assert.Equal(t, 3, editDistance("kitten", "sitting"))
	assert.Equal(t, 1, editDistance("ca", "ac"))
	for _, a := range []string{"", "a", "tooth", "müller"} {
		assert.Zero(t, editDistance(a, a))
		for _, b := range []string{"", "tothe", "both"} {
			assert.Equal(t, editDistance(a, b), editDistance(b, a))
			assert.LessOrEqual(t, editDistance(a, b), max(len([]rune(a)), len([]rune(b))))
		}
	}
}
