package prop

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats"
)

// Newcombe 1998, Stat Med 17:857-872, tables I and II; 8 decimals recomputed
// with R 4.2.2 (prop.test, binom.test, qbeta).
func TestProportionIntervalsOfNewcombe(t *testing.T) {
	for _, c := range []struct {
		x, n                             int
		wilson, continuity, exact, bayes [2]float64
	}{
		{81, 263, [2]float64{.25528852, .36620958}, [2]float64{.25350868, .36817620}, [2]float64{.25273675, .36762192}, [2]float64{.25452194, .36564750}},
		{15, 148, [2]float64{.06238640, .16048724}, [2]float64{.05977821, .16444978}, [2]float64{.05784401, .16165049}, [2]float64{.06044852, .15764314}},
		{0, 20, [2]float64{0, .16112516}, [2]float64{0, .20045334}, [2]float64{0, .16843347}, [2]float64{.0000242, .1166390}},
		{1, 29, [2]float64{.00611321, .17175522}, [2]float64{.00180264, .19628175}, [2]float64{.00087265, .17764430}, [2]float64{.00374617, .15007769}},
	} {
		for _, m := range []struct {
			e    stats.Estimate
			want [2]float64
			tol  float64
		}{
			{Wilson(c.x, c.n, .95), c.wilson, 1e-8},
			{WilsonContinuity(c.x, c.n, .95), c.continuity, 1e-8},
			{ClopperPearson(c.x, c.n, .95), c.exact, 1e-8},
			{Jeffreys(c.x, c.n, .95), c.bayes, 6e-8},
		} {
			assert.InDelta(t, m.want[0], m.e.Low, m.tol, "%d/%d %s", c.x, c.n, m.e.Method)
			assert.InDelta(t, m.want[1], m.e.High, m.tol, "%d/%d %s", c.x, c.n, m.e.Method)
		}
	}
}

// Newcombe 1998, Stat Med 17:873-890, table II, methods 10 and 11; 8 decimals
// recomputed with R 4.2.2.
func TestNewcombeDifferences(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		x1, n1, x2, n2 int
		low, high      float64
		lowCC, highCC  float64
	}{
		{56, 70, 48, 80, .05243147, .33387265, .04276787, .34218628},
		{9, 10, 3, 10, .17052272, .80901797, .10128723, .83866897},
		{6, 7, 2, 7, .05822793, .80624964, -.02902412, .84226663},
		{5, 56, 0, 29, -.03813715, .19256001, -.06670854, .20369829},
		{0, 10, 0, 20, -.16112516, .27753280, nan, nan},
		{0, 10, 0, 10, -.27753280, .27753280, nan, nan},
		{10, 10, 0, 20, .67908604, 1, nan, nan},
		{10, 10, 0, 10, .60750935, 1, nan, nan},
	} {
		e := NewcombeDifference(c.x1, c.n1, c.x2, c.n2, .95)
		assert.InDelta(t, c.low, e.Low, 1e-8)
		assert.InDelta(t, c.high, e.High, 1e-8)
		s := NewcombeDifference(c.x2, c.n2, c.x1, c.n1, .95)
		assert.InDelta(t, -e.Low, s.High, 1e-15)
		assert.InDelta(t, -e.High, s.Low, 1e-15)
		if !math.IsNaN(c.lowCC) {
			e = NewcombeDifferenceContinuity(c.x1, c.n1, c.x2, c.n2, .95)
			assert.InDelta(t, c.lowCC, e.Low, 1e-8)
			assert.InDelta(t, c.highCC, e.High, 1e-8)
		}
	}
}

func TestBadCountsAreNotGuessed(t *testing.T) {
	for _, e := range []stats.Estimate{
		Wilson(3, 2, .95), Wilson(-1, 2, .95), Wilson(0, 0, .95), ClopperPearson(1, 2, 1),
		WilsonContinuity(1, -2, .95), Jeffreys(5, 4, .95), NewcombeDifference(1, 2, 3, 2, .95), Garwood(-1, .95), Garwood(3, 0),
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
