package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Reference values: R 4.2.2, the call is the row's name.
func TestTailsAgainstR(t *testing.T) {
	for _, c := range []struct {
		call      string
		got, want float64
	}{
		{"qt(.975,1)", tQuantile(.975, 1), 12.706204736174694},
		{"qt(.975,1.5)", tQuantile(.975, 1.5), 6.0166631044279288},
		{"qt(.975,2)", tQuantile(.975, 2), 4.3026527297494619},
		{"qt(.975,2.5)", tQuantile(.975, 2.5), 3.5746548420036919},
		{"qt(.975,9)", tQuantile(.975, 9), 2.2621571627982049},
		{"qt(.975,40.3)", tQuantile(.975, 40.3), 2.0206068306530458},
		{"qt(.975,1e5)", tQuantile(.975, 1e5), 1.9599877075346088},
		{"qt(.975,1e8)", tQuantile(.975, 1e8), 1.9599640082627663},
		{"qt(1-1e-10,1.5)", tQuantile(1-1e-10, 1.5), 2422662.9674997074},
		{"qt(1-1e-10,100)", tQuantile(1-1e-10, 100), 7.0833754641836899},
		{"pt(.1,3.3,lower=F)", tTail(.1, 3.3), 0.46305750162332571},
		{"pt(7,100,lower=F)", tTail(7, 100), 1.4917833018045889e-10},
		{"pt(30,50,lower=F)", tTail(30, 50), 6.190011397993646e-34},
		{"pt(.5,3e5,lower=F)", tTail(.5, 3e5), 0.30853772209325009},
		{"pt(3,1e3,lower=F)", tTail(3, 1e3), 0.001383354522119095},
		{"qchisq(.025,1)", chiSquareQuantile(.025, 1), 0.00098206911717525617},
		{"qchisq(1e-8,7.3)", chiSquareQuantile(1e-8, 7.3), 0.026765363903979905},
		{"qchisq(.5,100)", chiSquareQuantile(.5, 100), 99.334129235988485},
		{"qchisq(.001,.3)", chiSquareQuantile(.001, .3), 1.2599925262770394e-20},
		{"qchisq(.999,2000)", chiSquareQuantile(.999, 2000), 2201.1561965866294},
		{"qf(.025,1,15)", fQuantile(.025, 1, 15), 0.0010153656901701336},
		{"qf(.975,5,5)", fQuantile(.975, 5, 5), 7.1463818287328333},
		{"qf(.5,3,1e9)", fQuantile(.5, 3, 1e9), 0.78865796145844591},
		{"qf(.99,2.2,3.7)", fQuantile(.99, 2.2, 3.7), 20.098889733654534},
		{"pf(100,3,20,lower=F)", fTail(100, 3, 20), 3.2682418072616466e-12},
		{"pf(4,1,25.5,lower=F)", fTail(4, 1, 25.5), 0.05625784212559095},
		{"qnorm(1e-12)", normalQuantile(1e-12), -7.0344838253011321},
		{"qnorm(.9999999)", normalQuantile(.9999999), 5.1993375822906618},
		{"pbeta(.9,20,3)", regBeta(20, 3, .9, .1), 0.62004093841190322},
		{"pbeta(.5,1000,1010)", regBeta(1000, 1010, .5, .5), 0.58826982754372747},
		{"pbeta(1e-3,.01,5)", regBeta(.01, 5, 1e-3, 1-1e-3), 0.95279588000707727},
	} {
		assert.InEpsilon(t, c.want, c.got, 2e-11, c.call)
	}
	// P(Z > 10) from Abramowitz & Stegun 1964, table 26.2: 7.6199e-24.
	assert.InEpsilon(t, 7.619853024160525e-24, normalTail(10), 1e-12)
}

// Laws: quantiles invert tails, tails fall, ends are exact.
func TestTailLaws(t *testing.T) {
	for _, p := range []float64{1e-9, 1e-4, .025, .3, .5, .8, .975, .9999} {
		assert.InEpsilon(t, p, normalCDF(normalQuantile(p)), 1e-12)
		for _, df := range []float64{.7, 1, 2, 2.5, 4, 17.3, 400, 2e6} {
			assert.InEpsilon(t, 1-p, tTail(tQuantile(p, df), df), 1e-10, "t %v %v", p, df)
			assert.InEpsilon(t, 1-p, chiSquareTail(chiSquareQuantile(p, df), df), 1e-10, "chi-square %v %v", p, df)
			assert.InEpsilon(t, 1-p, fTail(fQuantile(p, df, 7.1), df, 7.1), 1e-9, "F %v %v", p, df)
			if p >= 1e-4 { // below, 1-p itself is too coarse
				assert.InEpsilon(t, 1+math.Abs(tQuantile(p, df)), 1+math.Abs(tQuantile(1-p, df)), 1e-9)
			}
		}
	}
	assert.Equal(t, math.Inf(1), tQuantile(1, 3))
	assert.Equal(t, math.Inf(-1), tQuantile(0, 3))
	assert.True(t, math.IsNaN(tQuantile(1.1, 3)))
	assert.InDelta(t, tTail(2.1, 1e6-1), tTail(2.1, 1e6+1), 1e-9)
}
