package values

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A reader that knows again what it read gives what it gave, errors too, and tells
// apart what it was told.
func TestRememberedReadersGiveTheSameAgain(t *testing.T) {
	asked := 0
	read := rememberedBy(func(by int, s string) (int, error) {
		asked++
		if s == "bad" {
			return 0, fail("x", "it is bad")
		}
		return by * len(s), nil
	})
	for range 2 {
		for _, c := range []struct{ by, want int }{{1, 3}, {2, 6}} {
			got, err := read(c.by, "abc")
			assert.NoError(t, err)
			assert.Equal(t, c.want, got)
		}
		_, err := read(1, "bad")
		assert.EqualError(t, err, "it is bad")
	}
	assert.Equal(t, 3, asked)
	long := strings.Repeat("x", longestWord+1)
	for range 2 {
		got, err := read(1, long)
		assert.NoError(t, err)
		assert.Equal(t, len(long), got)
	}
	assert.Equal(t, 5, asked, "long texts are not kept in memory")
}

// The ways without copies agree with the way for any text.
func TestSameAndTidyCodesAgreeWithKeyAndCode(t *testing.T) {
	texts := []string{
		"", "a", "A", " a ", "a b", "a-b", "a_b", "Ä", "ä", "12", "12.0", "1,0", "12E3", "x\u200b", "P 1", "P1", "straße",
		strings.Repeat("A ", 40), strings.Repeat("a-", 40), "a\tb", "tooth #", "tooth", "\x7f",
	}
	for _, a := range texts {
		for _, b := range texts {
			assert.Equal(t, Key(a) == Key(b), Same(a, b), "%q %q", a, b)
		}
		for _, number := range []bool{false, true} {
			if tidyCode(a, number) {
				got, changes := anyCode(a, number)
				assert.Equal(t, a, got)
				assert.Empty(t, changes)
			}
		}
		v, ok := table[int]{Key(a): 7}.in(a)
		assert.True(t, ok, a)
		assert.Equal(t, 7, v)
	}
}
