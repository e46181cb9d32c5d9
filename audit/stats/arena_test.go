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
	assert.Equal(t, []float64{1, 1, 1}, first)
	assert.Equal(t, []float64{1, 1, 1, 5}, append(first, 5))
	assert.Equal(t, 2., second[0], "nothing is appended into a neighbour")
	a.Reset()
	assert.Equal(t, make([]float64, 200), a.Floats(200))
	assert.Len(t, (*Arena)(nil).Floats(4), 4)
}
