package agree

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/numeric"
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
		mean, variance := numeric.MeanVariance(c.x)
		assert.InEpsilon(t, c.mean, mean, 1e-14, name)
		assert.InEpsilon(t, c.sd, math.Sqrt(variance), 2e-8, name) // the data are rounded at 1e-9
		assert.InDelta(t, c.lag1, Autocorrelation(c.x, 1), 1e-8, name)
	}
}
