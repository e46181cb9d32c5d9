package firsts

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The index gives what a map of first places gives.
func TestIndexAgreesWithAMap(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, kinds := range []int{1, 7, 5000, 1 << 40} {
		keys := make([]int, 3000)
		for i := range keys {
			keys[i] = rng.IntN(kinds)
		}
		x, first := Of(kinds%1000, func(i int) int { return keys[i] }), map[int]int{}
		for i, k := range keys {
			if _, known := first[k]; !known {
				first[k] = i
			}
			assert.Equal(t, first[k], x.Add(i))
		}
	}
}
