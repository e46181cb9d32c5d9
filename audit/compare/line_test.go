package compare

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/robust"
)

// What is expected of a movement is the sum of its columns, whether they are written out,
// share codes, or are a number in one class.
func TestLineIsTheSumOfColumns(t *testing.T) {
	number := []float64{1.5, -2, 0.25, 3, 1}
	tooth, class := []int32{0, 2, 1, 2, 7}, []int32{1, 1, 2, 2, 0}
	cols := []column{
		numbers("number", number),
		{"tooth 1", robust.Column{Codes: tooth, Code: 1}},
		{"tooth 2", robust.Column{Codes: tooth, Code: 2}},
		{"class 2", robust.Column{Codes: class, Code: 2}},
		{"number in class 1", robust.Column{Values: number, Codes: class, Code: 1}},
	}
	coef := []float64{2, 10, 100, 1000, 1e4}
	c := &Contrast{d: &Data{}, y: make([]float64, len(number))}
	assert.Equal(t, []float64{3 + 15000, -4 + 100 - 20000, 0.5 + 10 + 1000, 6 + 100 + 1000, 2}, c.line(cols, coef))
}
