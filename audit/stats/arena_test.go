package stats

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestArenaGivesZeros(t *testing.T) {
	a := new(Arena)
	first := a.Floats(3)
	for i := range first {
		first[i] = 1
	}
	second := a.Floats(200) // grows: the first stays as it was
	second[0] = 2
	assert.Equal(t, chunk, a.Held())
	assert.Equal(t, []float64{1, 1, 1}, first)
	assert.Equal(t, []float64{1, 1, 1, 5}, append(first, 5))
	assert.Equal(t, 2., second[0], "nothing is appended into a neighbour")
	a.Reset()
	assert.Equal(t, 1., a.Room(3)[2], "room is not made clean")
	a.Ints(3)[2] = 4
	a.Reset()
	assert.Equal(t, 4, a.Places(3)[2], "nor are places")
	a.Reset()
	assert.Zero(t, a.Ints(3)[2])
	assert.Equal(t, make([]float64, 200), a.Floats(200))
	assert.Len(t, (*Arena)(nil).Floats(4), 4)
}

// What was given out before a mark stays as it was; what came after is given again.
func TestArenaReleasesToAMark(t *testing.T) {
	a := new(Arena)
	kept := a.Floats(10)
	kept[9] = 7
	ids, words := a.Ints(3), a.Codes(3)
	ids[2], words[2] = 5, 6
	for range 3 {
		m := a.Mark()
		big, more := a.Floats(5*chunk), a.Ints(10)
		assert.Zero(t, big[0])
		assert.Zero(t, more[0])
		big[0], more[0], a.Codes(10)[0] = 1, 1, 1
		a.Release(m)
	}
	assert.Equal(t, 7., kept[9])
	assert.Equal(t, 5, ids[2])
	assert.EqualValues(t, 6, words[2])
	assert.Len(t, a.codes.chunks, 1)
	assert.Equal(t, len(a.floats.chunks[0])+len(a.floats.chunks[1])+chunk+chunk/2, a.Held(), "two small numbers are one")
	assert.Len(t, (*Arena)(nil).Codes(4), 4)
	assert.LessOrEqual(t, len(a.floats.chunks), 2, "the same memory each time")
	(*Arena)(nil).Release((*Arena)(nil).Mark())
}
