package statstest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/dist"
)

// Reference values: R 4.2.2, the call is the row's name.
func TestTailsAgainstR(t *testing.T) {
	for _, c := range []struct {
		call      string
		got, want float64
	}{
		{"qt(.975,1)", dist.TQuantile(.975, 1), 12.706204736174694},
		{"qt(.975,1.5)", dist.TQuantile(.975, 1.5), 6.0166631044279288},
		{"qt(.975,2)", dist.TQuantile(.975, 2), 4.3026527297494619},
		{"qt(.975,2.5)", dist.TQuantile(.975, 2.5), 3.5746548420036919},
		{"qt(.975,9)", dist.TQuantile(.975, 9), 2.2621571627982049},
		{"qt(.975,40.3)", dist.TQuantile(.975, 40.3), 2.0206068306530458},
		{"qt(.975,1e5)", dist.TQuantile(.975, 1e5), 1.9599877075346088},
		{"qt(.975,1e8)", dist.TQuantile(.975, 1e8), 1.9599640082627663},
		{"qt(1-1e-10,1.5)", dist.TQuantile(1-1e-10, 1.5), 2422662.9674997074},
		{"qt(1-1e-10,100)", dist.TQuantile(1-1e-10, 100), 7.0833754641836899},
		{"pt(.1,3.3,lower=F)", dist.TTail(.1, 3.3), 0.46305750162332571},
		{"pt(7,100,lower=F)", dist.TTail(7, 100), 1.4917833018045889e-10},
		{"pt(30,50,lower=F)", dist.TTail(30, 50), 6.190011397993646e-34},
		{"pt(.5,3e5,lower=F)", dist.TTail(.5, 3e5), 0.30853772209325009},
		{"pt(3,1e3,lower=F)", dist.TTail(3, 1e3), 0.001383354522119095},
		{"qchisq(.025,1)", dist.ChiSquareQuantile(.025, 1), 0.00098206911717525617},
		{"qchisq(1e-8,7.3)", dist.ChiSquareQuantile(1e-8, 7.3), 0.026765363903979905},
		{"qchisq(.5,100)", dist.ChiSquareQuantile(.5, 100), 99.334129235988485},
		{"qchisq(.001,.3)", dist.ChiSquareQuantile(.001, .3), 1.2599925262770394e-20},
		{"qchisq(.999,2000)", dist.ChiSquareQuantile(.999, 2000), 2201.1561965866294},
		{"qf(.025,1,15)", dist.FQuantile(.025, 1, 15), 0.0010153656901701336},
		{"qf(.975,5,5)", dist.FQuantile(.975, 5, 5), 7.1463818287328333},
		{"qf(.5,3,1e9)", dist.FQuantile(.5, 3, 1e9), 0.78865796145844591},
		{"qf(.99,2.2,3.7)", dist.FQuantile(.99, 2.2, 3.7), 20.098889733654534},
		{"pf(100,3,20,lower=F)", dist.FTail(100, 3, 20), 3.2682418072616466e-12},
		{"pf(4,1,25.5,lower=F)", dist.FTail(4, 1, 25.5), 0.05625784212559095},
		{"qnorm(1e-12)", dist.NormalQuantile(1e-12), -7.0344838253011321},
		{"qnorm(.9999999)", dist.NormalQuantile(.9999999), 5.1993375822906618},
		{"pbeta(.9,20,3)", dist.RegularisedBeta(20, 3, .9, .1), 0.62004093841190322},
		{"pbeta(.5,1000,1010)", dist.RegularisedBeta(1000, 1010, .5, .5), 0.58826982754372747},
		{"pbeta(1e-3,.01,5)", dist.RegularisedBeta(.01, 5, 1e-3, 1-1e-3), 0.95279588000707727},
	} {
		assert.InEpsilon(t, c.want, c.got, 2e-11, c.call)
	}
	// P(Z > 10) from Abramowitz & Stegun 1964, table 26.2: 7.6199e-24.
	assert.InEpsilon(t, 7.619853024160525e-24, dist.NormalTail(10), 1e-12)
}

// Laws: quantiles invert tails, tails fall, ends are exact.
func TestTailLaws(t *testing.T) {
	for _, p := range []float64{1e-9, 1e-4, .025, .3, .5, .8, .975, .9999} {
		assert.InEpsilon(t, p, dist.NormalTail(-dist.NormalQuantile(p)), 1e-12)
		for _, df := range []float64{.7, 1, 2, 2.5, 4, 17.3, 400, 2e6} {
			assert.InEpsilon(t, 1-p, dist.TTail(dist.TQuantile(p, df), df), 1e-10, "t %v %v", p, df)
			assert.InEpsilon(t, 1-p, dist.ChiSquareTail(dist.ChiSquareQuantile(p, df), df), 1e-10, "chi-square %v %v", p, df)
			assert.InEpsilon(t, 1-p, dist.FTail(dist.FQuantile(p, df, 7.1), df, 7.1), 1e-9, "F %v %v", p, df)
			if p >= 1e-4 { // below, 1-p itself is too coarse
				assert.InEpsilon(t, 1+math.Abs(dist.TQuantile(p, df)), 1+math.Abs(dist.TQuantile(1-p, df)), 1e-9)
			}
		}
	}
	assert.Equal(t, math.Inf(1), dist.TQuantile(1, 3))
	assert.Equal(t, math.Inf(-1), dist.TQuantile(0, 3))
	assert.True(t, math.IsNaN(dist.TQuantile(1.1, 3)))
	assert.InDelta(t, dist.TTail(2.1, 1e6-1), dist.TTail(2.1, 1e6+1), 1e-9)
}

// Reference values: R 4.2.2, the call is the row's name.
func TestDiscreteAndNoncentralAgainstR(t *testing.T) {
	for _, c := range []struct {
		call      string
		got, want float64
	}{
		{"dbinom(7,30,.3)", dist.BinomialProbability(7, 30, .3), .121853725991007},
		{"dbinom(500,1000,.47)", dist.BinomialProbability(500, 1000, .47), .0041561471939761},
		{"pbinom(7,30,.3)", dist.BinomialCDF(7, 30, .3), .281376708186881},
		{"pbinom(430,1000,.47)", dist.BinomialCDF(430, 1000, .47), .00608511146662335},
		{"qbinom(.025,30,.3)", float64(dist.BinomialQuantile(.025, 30, .3)), 4},
		{"qbinom(.9995,413,.07)", float64(dist.BinomialQuantile(.9995, 413, .07)), 47},
		{"pt(2.1,28,2.5,lower=F)", dist.NoncentralTail(2.1, 28, 2.5), .656745299594527},
		{"pt(1.97,200,-1,lower=F)", dist.NoncentralTail(1.97, 200, -1), .00157185127777126},
		{"2*pnorm(-1.7)", dist.NormalTwoSided(1.7), .0891309255170861},
		{"2*pt(-2.2,6.6)", dist.TTwoSided(2.2, 6.6), .0660414094256207},
		{"qbeta(.1,3.3,7)", dist.BetaQuantile(.1, 3.3, 7), .147383389996327},
	} {
		assert.InEpsilon(t, c.want, c.got, 1e-9, c.call)
	}
}

// Laws: probabilities add up to the distribution function, which its quantile
// inverts; two sides are twice one; without shift the noncentral t is the t.
func TestDiscreteLaws(t *testing.T) {
	for _, p := range []float64{.01, .3, .5, .93} {
		binomial := 0.0
		for x := range 21 {
			binomial += dist.BinomialProbability(x, 20, p)
			assert.InDelta(t, binomial, dist.BinomialCDF(x, 20, p), 1e-13)
			assert.InDelta(t, dist.BinomialProbability(x, 20, p), dist.BinomialProbability(20-x, 20, 1-p), 1e-13)
			if dist.BinomialProbability(x, 20, p) > 1e-9 {
				assert.Equal(t, x, dist.BinomialQuantile(binomial-1e-12, 20, p))
			}
		}
	}
	for _, x := range []float64{.1, 1, 2.5} {
		assert.InDelta(t, 2*dist.NormalTail(x), dist.NormalTwoSided(-x), 1e-15)
		assert.InDelta(t, 2*dist.TTail(x, 7), dist.TTwoSided(-x, 7), 1e-15)
		assert.InDelta(t, dist.TTail(x, 7), dist.NoncentralTail(x, 7, 0), 1e-10)
		assert.InDelta(t, .3, dist.RegularisedBeta(x+1, 2, dist.BetaQuantile(.3, x+1, 2), 1-dist.BetaQuantile(.3, x+1, 2)), 1e-12)
	}
}

// BenchmarkTQuantile sets quantiles that are kept (whole degrees of freedom, one level)
// against those that are found anew.
func BenchmarkTQuantile(b *testing.B) {
	for name, part := range map[string]float64{"kept": 0, "anew": 0.5} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for df := range 50 {
					dist.TQuantile(0.975, float64(df+3)+part)
				}
			}
		})
	}
}
