package sheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A text that needs no tidying is not copied, and any other is written as its words.
func TestSpaced(t *testing.T) {
	for _, s := range []string{"", "a", " a", "a b", "a  b", "a\nb ", "\ta\u00a0b", "à  b", "\u2003a", "   ", "a\u0085b", "a b  c\r\nd"} {
		assert.Equal(t, strings.Join(strings.Fields(s), " "), Spaced(s), "%q", s)
	}
	long := strings.Repeat("word ", 1000)
	assert.Zero(t, testing.AllocsPerRun(10, func() { Spaced(long) }))
}
