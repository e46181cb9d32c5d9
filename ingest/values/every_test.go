package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

// TestEveryWordIsRead: an axis and a direction by their names, and both directions of an
// axis by a letter.
func TestEveryWordIsRead(t *testing.T) {
	for _, d := range casebook.Directions() {
		a, got, err := ParseAxis(d.String())
		require.NoError(t, err, d)
		assert.Equal(t, d.Axis(), a)
		assert.Equal(t, d, got)
	}
	for _, a := range casebook.Axes() {
		signs := map[float64]bool{}
		for _, sign := range letters[a] {
			signs[sign] = true
		}
		assert.Equal(t, map[float64]bool{1: true, -1: true}, signs, "%v has no short words for both directions", a)
	}
}
