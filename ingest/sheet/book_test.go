package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A place is what a reference was written of; of a range its first cell.
func TestPlaceIsWhatRefWrote(t *testing.T) {
	for _, at := range [][2]int{{1, 1}, {41, 26}, {1048576, 16384}, {7, 27}, {100, 702}, {3, 703}} {
		for _, ref := range []string{Ref(at[0], at[1]), Ref(at[0], at[1]) + ":C9"} {
			row, col := Place(ref)
			assert.Equal(t, at, [2]int{row, col}, ref)
		}
	}
	for _, ref := range []string{"", "row 7", "B", "12", ":B2"} {
		row, col := Place(ref)
		assert.Zero(t, row+col, ref)
	}
}
