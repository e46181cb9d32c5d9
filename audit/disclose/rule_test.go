package disclose

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestNeverOneAloneWithheld: with one part below the minimum the smallest of
// the others goes with it, else the total gives it away.
func TestNeverOneAloneWithheld(t *testing.T) {
	parts := []int{12, 3, 9, 20}
	of := func(v []int) (out []int) {
		for _, x := range WithheldOf(Pick(v, func(*int) bool { return true }), 5, func(x *int) int { return *x }) {
			out = append(out, *x)
		}
		return out
	}
	assert.Equal(t, []int{3, 9}, of(parts))
	assert.Equal(t, []int{3, 4}, of([]int{12, 3, 4}))
	assert.Empty(t, of([]int{12, 5}))
	assert.Equal(t, []int{3}, of([]int{3}))
}
