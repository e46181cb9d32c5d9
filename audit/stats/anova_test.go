package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NIST StRD, AtmWtAg: atomic weight of silver by two instruments, average
// difficulty; certified values from itl.nist.gov/div898/strd.
func TestOneWayAgainstNIST(t *testing.T) {
	digits := [][]float64{
		{
			8681568, 8681465, 8681572, 8681785, 8681446, 8681903, 8681526, 8681494, 8681616, 8681587, 8681519, 8681486,
			8681419, 8681569, 8681508, 8681672, 8681385, 8681518, 8681662, 8681424, 8681360, 8681333, 8681610, 8681477,
		},
		{
			8681079, 8681344, 8681513, 8681197, 8681604, 8681385, 8681642, 8681365, 8681151, 8681082, 8681517, 8681448,
			8681198, 8681482, 8681334, 8681609, 8681101, 8681512, 8681469, 8681360, 8681254, 8681261, 8681450, 8681368,
		},
	}
	var x []float64
	var group []int
	for g, ks := range digits {
		for _, k := range ks {
			x = append(x, 107+k*1e-7)
			group = append(group, g)
		}
	}
	r, err := OneWay(x, group)
	require.NoError(t, err)
	// The data carry 1e-14 of rounding in 107.x: nine digits are what is there.
	assert.InEpsilon(t, 3.63834187500000e-09, r.SSBetween, 1e-8)
	assert.InEpsilon(t, 1.04951729166667e-08, r.SSWithin, 1e-8)
	assert.InEpsilon(t, 15.9467335677930, r.F, 1e-8)
	assert.Equal(t, []float64{1, 46}, []float64{r.DFBetween, r.DFWithin})
	assert.InEpsilon(t, .257426544538321, r.SSBetween/(r.SSBetween+r.SSWithin), 1e-8)
	assert.InEpsilon(t, 1.51048314446410e-05, math.Sqrt(r.SSWithin/r.DFWithin), 1e-8)
}

// NIST StRD NumAcc1 to NumAcc4, built by their published rule; certified
// mean, standard deviation and, for 2 to 4, lag-1 autocorrelation.
func TestUnivariateAgainstNIST(t *testing.T) {
	alternate := func(first, low, high float64) []float64 {
		x := []float64{first}
		for range 500 {
			x = append(x, low, high)
		}
		return x
	}
	for name, c := range map[string]struct {
		x              []float64
		mean, sd, lag1 float64
	}{
		"NumAcc1": {[]float64{10000001, 10000003, 10000002}, 10000002, 1, -.5},
		"NumAcc2": {alternate(1.2, 1.1, 1.3), 1.2, .1, -.999},
		"NumAcc3": {alternate(1000000.2, 1000000.1, 1000000.3), 1000000.2, .1, -.999},
		"NumAcc4": {alternate(10000000.2, 10000000.1, 10000000.3), 10000000.2, .1, -.999},
	} {
		mean, variance := meanVariance(c.x)
		assert.InEpsilon(t, c.mean, mean, 1e-14, name)
		assert.InEpsilon(t, c.sd, math.Sqrt(variance), 2e-8, name) // the data are rounded at 1e-9
		assert.InDelta(t, c.lag1, Autocorrelation(c.x, 1), 1e-8, name)
	}
}

// Potthoff & Roy 1964 growth (nlme::Orthodont), R 4.2.2: MSB 19.937678, MSW
// 4.929784, ICC .432167512, design effect 2.2965025.
func TestOneWayOfGrowth(t *testing.T) {
	x, child := jawGrowth()
	r, err := OneWay(x, child)
	require.NoError(t, err)
	assert.InDelta(t, 19.937678, r.SSBetween/r.DFBetween, 5e-7)
	assert.InDelta(t, 4.929784, r.SSWithin/r.DFWithin, 5e-7)
	assert.InDelta(t, .432167512, r.ICC, 5e-10)
	assert.InDelta(t, 2.2965025, r.DesignEffect, 5e-8)
	// Clustered mean, balanced: SE .4296605; unbalanced (child i without its
	// first i mod 4 visits): clubSandwich CR2 .47735769 on 21.458256 df.
	e, err := ClusteredMean(x, child, .95)
	require.NoError(t, err)
	assert.InDelta(t, .4296605, e.SE, 5e-8)
	var part []float64
	var id []int
	for i, c := range child {
		if i%4 >= c%4 {
			part, id = append(part, x[i]), append(id, c)
		}
	}
	require.Len(t, part, 66)
	e, err = ClusteredMean(part, id, .95)
	require.NoError(t, err)
	assert.InDelta(t, 24.77272727, e.Value, 5e-9)
	assert.InDelta(t, .47735769, e.SE, 5e-9)
	assert.InDelta(t, 21.458256, e.DF, 5e-7)
}

// jawGrowth is nlme::Orthodont, distance in mm at ages 8, 10, 12, 14: children
// 1-16 boys M01-M16, 17-27 girls F01-F11 (Potthoff & Roy 1964, Biometrika
// 51:313-326).
func jawGrowth() (x []float64, child []int) {
	x = []float64{
		26, 25, 29, 31, 21.5, 22.5, 23, 26.5, 23, 22.5, 24, 27.5, 25.5, 27.5, 26.5, 27, 20, 23.5, 22.5, 26, 24.5, 25.5, 27, 28.5,
		22, 22, 24.5, 26.5, 24, 21.5, 24.5, 25.5, 23, 20.5, 31, 26, 27.5, 28, 31, 31.5, 23, 23, 23.5, 25, 21.5, 23.5, 24, 28,
		17, 24.5, 26, 29.5, 22.5, 25.5, 25.5, 26, 23, 24.5, 26, 30, 22, 21.5, 23.5, 25,
		21, 20, 21.5, 23, 21, 21.5, 24, 25.5, 20.5, 24, 24.5, 26, 23.5, 24.5, 25, 26.5, 21.5, 23, 22.5, 23.5, 20, 21, 21, 22.5,
		21.5, 22.5, 23, 25, 23, 23, 23.5, 24, 20, 21, 22, 21.5, 16.5, 19, 19, 19.5, 24.5, 25, 28, 28,
	}
	for i := range x {
		child = append(child, 1+i/4)
	}
	return x, child
}
