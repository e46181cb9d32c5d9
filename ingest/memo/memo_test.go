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

// What a text of a number gave is not asked again, and texts without a number are.
func TestNumbered(t *testing.T) {
	asked := map[string]int{}
	m := ByNumber(func(s string) int { asked[s]++; return len(s) })
	for range 3 {
		for i, s := range []string{"none", "a", "", "long"} {
			assert.Equal(t, len(s), m.Get(uint32(i*900), s))
		}
	}
	assert.Equal(t, map[string]int{"none": 3, "a": 1, "": 1, "long": 1}, asked)
}

// Beyond its pages nothing more is remembered, and everything is still found.
func TestNumberedIsBounded(t *testing.T) {
	asked := 0
	m := ByNumber(func(s string) int { asked++; return len(s) })
	for range 2 {
		for i := range uint32(mostPages + 3) {
			assert.Equal(t, 3, m.Get(i*page+1, "abc"))
		}
	}
	assert.Equal(t, mostPages+2*3, asked)
}
