package verb_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/cmd/flags"
)

func TestNearest(t *testing.T) {
	words := []string{"audit", "ingest", "template", "replay", "schema", "version", "map"}
	for typed, want := range map[string]string{
		"adit": "audit", "audti": "audit", "ingets": "ingest", "temp": "template", "Schema": "schema",
		"mpa": "map", "forecast": "", "x": "", "": "",
	} {
		assert.Equal(t, want, flags.Nearest(typed, words), "%q", typed)
	}
}

// TestEditDistance checks the two textbook pairs (kitten/sitting 3, ca/ac 1 by
// a swap) and the laws of a distance.
func TestEditDistance(t *testing.T) {
	assert.Equal(t, 3, flags.EditDistance("kitten", "sitting"))
	assert.Equal(t, 1, flags.EditDistance("ca", "ac"))
	for _, a := range []string{"", "a", "tooth", "müller"} {
		assert.Zero(t, flags.EditDistance(a, a))
		for _, b := range []string{"", "tothe", "both"} {
			assert.Equal(t, flags.EditDistance(a, b), flags.EditDistance(b, a))
			assert.LessOrEqual(t, flags.EditDistance(a, b), max(len([]rune(a)), len([]rune(b))))
		}
	}
}
