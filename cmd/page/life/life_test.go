package life

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// The program ends a while after its last window closed, or was not heard of any more.
func TestWindowsThatCloseEndTheProgram(t *testing.T) {
	now := time.Unix(1000, 0)
	l := New(Grace)
	l.now = func() time.Time { return now }
	assert.False(t, l.over(), "nobody was there yet")
	l.Here("a")
	l.Here("b")
	l.Gone("a")
	now = now.Add(time.Hour / 2)
	assert.False(t, l.over(), "b is there, if silent")
	l.Gone("b")
	assert.False(t, l.over(), "a reload comes back")
	now = now.Add(l.grace + time.Second)
	assert.True(t, l.over())
	l.Here("c")
	assert.False(t, l.over())
	now = now.Add(l.silent + time.Second)
	assert.False(t, l.over())
	now = now.Add(l.grace + time.Second)
	assert.True(t, l.over(), "c was killed without a word")
}
