package audittest_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/disclose"
)

// TestNeverOneAloneWithheld: with one part below the minimum the smallest of
// the others goes with it, else the total gives it away.
func TestNeverOneAloneWithheld(t *testing.T) {
	parts := []int{12, 3, 9, 20}
	of := func(v []int) (out []int) {
		for _, x := range disclose.WithheldOf(disclose.Pick(v, func(*int) bool { return true }), 5, func(x *int) int { return *x }) {
			out = append(out, *x)
		}
		return out
	}
	assert.Equal(t, []int{3, 9}, of(parts))
	assert.Equal(t, []int{3, 4}, of([]int{12, 3, 4}))
	assert.Empty(t, of([]int{12, 5}))
	assert.Equal(t, []int{3}, of([]int{3}))
}

// TestCasesToldOfAShare: by hand.
func TestCasesToldOfAShare(t *testing.T) {
	for _, x := range []struct{ cases, k, n, want int }{
		{7, 2, 7, 2},    // seven patients with one movement each: two of them
		{7, 6, 7, 1},    // all but one
		{7, 0, 7, 7},    // all alike
		{7, 7, 7, 7},    //
		{49, 4, 73, 49}, // four teeth of 49 patients
	} {
		assert.Equal(t, x.want, disclose.CasesTold(x.cases, x.k, x.n), x)
	}
}
