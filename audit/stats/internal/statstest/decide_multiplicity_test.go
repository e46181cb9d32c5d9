package statstest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/decide"
)

// Benjamini & Hochberg 1995, J R Stat Soc B 57:289-300, section 3.2: fifteen P
// values, four rejected at q = .05 where Bonferroni rejects three. Adjusted
// values with R 4.2.2, p.adjust.
func TestMultiplicityOfBenjaminiHochberg(t *testing.T) {
	p := []float64{.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1}
	for name, c := range map[string]struct{ got, want []float64 }{
		"BH": {decide.BenjaminiHochberg(p), []float64{
			.0015, .0030, .0095, .035625, .0603, .0638571429, .0638571429, .0645, .0765, .486, .5811818182, .714875, .7532307692, .8132142857, 1,
		}},
		"Holm": {decide.Holm(p), []float64{.0015, .0056, .0247, .1140, .2211, .2780, .2780, .2780, .3213, 1, 1, 1, 1, 1, 1}},
	} {
		assert.InDeltaSlice(t, c.want, c.got, 1e-10, name)
	}
	rejected := 0
	for _, v := range decide.BenjaminiHochberg(p) {
		if v <= .05 {
			rejected++
		}
	}
	assert.Equal(t, 4, rejected)
}

func TestMultiplicityLeavesMissingOut(t *testing.T) {
	nan := math.NaN()
	for name, f := range map[string]func([]float64) []float64{"BH": decide.BenjaminiHochberg, "Holm": decide.Holm} {
		want := f([]float64{.01, .04, .03})
		in := []float64{nan, .01, .04, nan, .03, 7}
		got := f(in)
		assert.InDeltaSlice(t, want, []float64{got[1], got[2], got[4]}, 1e-15, name)
		assert.True(t, math.IsNaN(got[0]) && math.IsNaN(got[3]) && math.IsNaN(got[5]), name)
		assert.Equal(t, .04, in[2], "input unchanged")
		assert.Empty(t, f(nil))
		for i, v := range want {
			assert.GreaterOrEqual(t, v, []float64{.01, .04, .03}[i])
			assert.LessOrEqual(t, v, 1.0)
		}
	}
}
