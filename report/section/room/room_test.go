package room

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit"
)

// TestEveryQuestionHasARoom, and no room is left without its question: what is asked
// reaches pages, web page and workbook.
func TestEveryQuestionHasARoom(t *testing.T) {
	var asked []string
	for _, q := range audit.Questions() {
		asked = append(asked, q.ID)
		r := rooms[q.ID]
		assert.True(t, r.Sheets != nil || r.Facts != nil, "%s puts nothing in the workbook", q.ID)
	}
	assert.ElementsMatch(t, asked, slices.Collect(maps.Keys(rooms)))
}
