package prop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats"
)

// Newcombe 1998, Stat Med 17:857-872, tables I and II, method 3; 8 decimals
// recomputed with R 4.2.2 (prop.test without correction).
func TestProportionIntervalsOfNewcombe(t *testing.T) {
	for _, c := range []struct {
		x, n      int
		low, high float64
	}{
		{81, 263, .25528852, .36620958}, {15, 148, .06238640, .16048724}, {0, 20, 0, .16112516}, {1, 29, .00611321, .17175522},
	} {
		e := Wilson(c.x, c.n, .95)
		assert.InDelta(t, c.low, e.Low, 1e-8, "%d/%d", c.x, c.n)
		assert.InDelta(t, c.high, e.High, 1e-8, "%d/%d", c.x, c.n)
	}
}

func TestBadCountsAreNotGuessed(t *testing.T) {
	for _, e := range []stats.Estimate{
		Wilson(3, 2, .95), Wilson(-1, 2, .95), Wilson(0, 0, .95), Wilson(1, 2, 1), Garwood(-1, .95), Garwood(3, 0),
	} {
		assert.True(t, math.IsNaN(e.Low) && math.IsNaN(e.High), e.Method)
		assert.NotEmpty(t, e.Warnings, e.Method)
	}
}

// Garwood 1936, Biometrika 28:437-442; five decimals as in the classic table,
// recomputed with R 4.2.2: qchisq(c(.025,.975), 2*x + c(0,2))/2.
func TestGarwoodTable(t *testing.T) {
	for x, want := range map[int][2]float64{
		0: {0, 3.68888}, 1: {.02532, 5.57164}, 2: {.24221, 7.22469}, 3: {.61867, 8.76727}, 4: {1.08987, 10.24159},
		5: {1.62349, 11.66833}, 6: {2.20189, 13.05947}, 7: {2.81436, 14.42268}, 8: {3.45383, 15.76319}, 9: {4.11537, 17.08480},
		10: {4.79539, 18.39036}, 15: {8.39539, 24.74022}, 20: {12.21652, 30.88838}, 50: {37.11096, 65.91877}, 100: {81.36399, 121.62679},
	} {
		e := Garwood(x, .95)
		assert.InDelta(t, want[0], e.Low, 6e-6, x)
		assert.InDelta(t, want[1], e.High, 6e-6, x)
	}
	assert.InDelta(t, 2.99573, Garwood(0, .90).High, 5e-6) // the one-sided 95 % limit of none
}
