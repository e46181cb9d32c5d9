package casebook

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFit(t *testing.T) {
	set := func(from, to int) map[int]bool {
		out := map[int]bool{}
		for i := from; i < to; i++ {
			out[i] = true
		}
		return out
	}
	for _, c := range []struct {
		listed, moved map[int]bool
		apart         bool
	}{
		{set(0, 40), set(40, 92), true},
		{set(0, 40), set(37, 92), true},  // 3 of 40
		{set(0, 40), set(36, 92), false}, // 4 of 40
		{set(0, 1000), set(0, 60), false},
		{set(0, 3), set(0, 60), false},
		{set(0, 1), set(1, 2), true},
		{set(0, 0), set(0, 60), false},
		{set(0, 40), set(0, 0), false},
	} {
		f := FitOf(c.listed, c.moved)
		assert.Equal(t, c.apart, f.Apart(), f)
	}
	assert.Contains(t, FitOf(set(0, 40), set(40, 92)).String(), "40 cases listed, 52 with movements, 0 in both")
}
