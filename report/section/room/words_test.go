package room

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/casebook"
	"shortfall/report/chart"
)

// TestEveryWordIsDrawn: a style has a mark of its own, an axis a pictogram of its own.
func TestEveryWordIsDrawn(t *testing.T) {
	marks := map[chart.Marker]bool{}
	for _, s := range append(casebook.Styles(), casebook.NoStyle) {
		m, ok := Markers[s]
		assert.True(t, ok, "style %q has no mark", s)
		assert.False(t, marks[m], "style %q has the mark of another", s)
		marks[m] = true
	}
	pictures := map[chart.Kind]bool{}
	for _, a := range casebook.Axes() {
		k, ok := kinds[a]
		assert.True(t, ok, "axis %v has no pictogram", a)
		assert.False(t, pictures[k], "axis %v has the pictogram of another", a)
		pictures[k] = true
	}
}
