package memo

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFindsOnce, and never holds more than its bound.
func TestFindsOnce(t *testing.T) {
	var m Memo[string, int]
	calls := 0
	length := func(s string) int { calls++; return len(s) }
	assert.Equal(t, 5, m.Get("tooth", length))
	assert.Equal(t, 5, m.Get("tooth", length))
	assert.Equal(t, 1, calls)
	for i := range 3 * most {
		m.Get(strconv.Itoa(i), length)
	}
	assert.LessOrEqual(t, len(m.known), most)
	assert.Equal(t, 5, m.Get("tooth", length))
}
