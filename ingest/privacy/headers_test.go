package privacy

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A column of notes is refused with its first note, not while it is empty.
func TestEmptyColumnOfNotes(t *testing.T) {
	in := with(clean(), Cell{Row: 2, Col: 11, Text: "Notes"})
	in.Sheets[0].Columns[11] = Column{Header: "Notes"}
	assert.Empty(t, Screen(in))
	assert.NotEmpty(t, Screen(with(in, Cell{Row: 3, Col: 11, Text: "ok"})))
}
