package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Hyndman & Fan 1996 type 7; quantile(c(7,1,3,10), c(0,.1,.25,.5,.9,1)) of R 4.2.2.
func TestQuantilesTypeSeven(t *testing.T) {
	x := []float64{7, 1, 3, 10}
	assert.InDeltaSlice(t, []float64{1, 1.6, 2.5, 5, 9.1, 10}, Quantiles(x, 0, .1, .25, .5, .9, 1), 1e-14)
	assert.Equal(t, []float64{7, 1, 3, 10}, x)
	assert.Equal(t, []float64{5.5}, Quantiles([]float64{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, .5))
	for _, v := range [][]float64{Quantiles(nil, .5), Quantiles([]float64{1, math.NaN()}, .5), Quantiles(x, 1.5), Quantiles(x, math.NaN())} {
		assert.True(t, math.IsNaN(v[0]))
	}
}
