package stats

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// Fieller's set with the normal quantile: Cochran 1977 table 2.3, food over
// income, and boot::city; from the quadratic, R 4.2.2. Naive limits of the toy
// data, rows as units, t on 10 df.
func TestFiellerWithNormalQuantile(t *testing.T) {
	for _, c := range []struct {
		num, den       []float64
		low, high, tol float64
	}{
		{cochranFood, cochranIncome, .3327000130, .4260481462, 1e-9},
		{cityX, cityU, 1.23287, 2.20593, 5e-6},
	} {
		n := float64(len(c.num))
		a, va := stat.MeanVariance(c.num, nil)
		b, vb := stat.MeanVariance(c.den, nil)
		s, err := Fieller(a, b, va/n, vb/n, stat.Covariance(c.num, c.den, nil)/n, math.Inf(1), .95)
		require.NoError(t, err)
		assert.InDelta(t, c.low, s.Low, c.tol)
		assert.InDelta(t, c.high, s.High, c.tol)
	}
	naive, err := RatioOfSumsLinearised(toyAchieve, toyPlanned, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, .7394215, naive.High, 5e-8)
}

// Donner 1989 on the litters (R 4.2.2): n0 9.4393 and correction factors
// 3.35034 and 3.11520 with the pooled correlation .250576.
func TestDonnerFactorsOfLitters(t *testing.T) {
	for _, c := range []struct {
		litters [][2]int
		want    float64
	}{{weilControl, 3.35034}, {weilTreated, 3.11520}} {
		var sizes []int
		for _, l := range c.litters {
			sizes = append(sizes, l[1])
		}
		assert.InDelta(t, c.want, DesignEffect(.250576, sizes...), 1e-5)
	}
}

// Bland & Altman 1986 print -79.7 and 75.5, bias -+ 2 SD; -79.6479 and 75.4126
// before rounding. The standard deviation follows from our 1.96 limits.
func TestTwoSDLimitsOfBlandAltman(t *testing.T) {
	r, err := Agreement(largeMeter, miniMeter, .95)
	require.NoError(t, err)
	sd := (r.UpperLimit.Value - r.Bias.Value) / 1.959963984540054
	assert.InDelta(t, 38.7651299, sd, 5e-8)
	assert.InDelta(t, -79.6479, r.Bias.Value-2*sd, 5e-5)
	assert.InDelta(t, 75.4126, r.Bias.Value+2*sd, 5e-5)
}

// The upper end of the normal prediction interval, metafor 3.8 on dat.bcg.
func TestNormalPredictionOfBCG(t *testing.T) {
	y, v := bcg()
	dl, err := Meta(y, v, DerSimonianLaird, false, .95)
	require.NoError(t, err)
	assert.InDelta(t, .4299193, dl.Value+1.959963984540054*math.Sqrt(dl.Tau2+square(dl.SE)), 5e-8)
}

// Growth data and lme4::sleepstudy: every printed digit of lme4 1.1-31 (R
// 4.2.2), whose search stops early (variances 1e-4 relative). Published:
// Pinheiro & Bates 2000 (growth), Bates et al. 2015 (sleep), from memory.
func TestPublishedMixed(t *testing.T) {
	for _, c := range []struct {
		id                       string
		coef, se                 []float64
		random, residual, logLik float64
	}{
		{"mixed/orthodont-mean", []float64{24.023148148, .660185185}, []float64{.4296604825, .0616059163}, 4.47205551, 2.04945602, -223.501258},
		{"mixed/orthodont", []float64{17.706712963, .660185185, -2.321022727}, []float64{.8339224740, .0616059163, .7614168487}, 3.26678372, 2.04945602, -218.756254},
		{
			"mixed/orthodont-product",
			[]float64{16.340625, .784375, 1.0321023, -.3048295},
			[]float64{.9813122, .0775011, 1.5374208, .1214209},
			3.29863403, 1.92205480, -216.878625,
		},
		{
			"mixed/orthodont-product-ml",
			[]float64{16.340625, .784375, 1.0321023, -.3048295},
			[]float64{.963085, .076538, 1.508864, .119913},
			3.03056169, 1.87459666, -214.319529,
		},
		{"mixed/orthodont-slope", []float64{16.761111, .660185}, []float64{.7752460, .0712533}, 5.4150876, 1.7162040, -221.318343},
		{"mixed/orthodont-66", []float64{18.714375126, .605565882, -2.921288937}, []float64{1.429137476, .107590300, .826880642}, 3.26987, 2.39371, -140.442235},
		{"mixed/orthodont-66-mean", []float64{25.0429314}, []float64{.512366661}, 5.13838873, 3.98573138, math.NaN()},
		{"mixed/sleep-slope", []float64{251.40510, 10.46729}, []float64{6.82460, 1.54579}, 612.1002, 654.9400, -871.814136},
		{"mixed/sleep", []float64{251.40510, 10.46729}, []float64{9.746716, .804221}, 1378.179, 960.457, math.NaN()},
		{"mixed/sleep-ml", []float64{251.40510, 10.46729}, []float64{9.506185, .801735}, 1296.870, 954.528, -897.03932},
	} {
		f := fitReference(t, reference(t, c.id))
		for j := range c.coef {
			e := f.Contrast(unit(len(c.coef), j), .95)
			near(t, c.coef[j], e.Value, 1e-6, 0, c.id)
			near(t, c.se[j], e.SE, 1e-5, 0, c.id, "SE")
		}
		near(t, c.random, f.Random[0], 1e-4, 0, c.id, "between")
		near(t, c.residual, f.Residual, 1e-4, 0, c.id, "within")
		if !math.IsNaN(c.logLik) {
			near(t, c.logLik, f.LogLik, 1e-8, 0, c.id, "log likelihood")
		}
	}
}

// Second components, correlations and tests of the same fits.
func TestPublishedMixedSlopes(t *testing.T) {
	for _, c := range []struct {
		id                           string
		slope, correlation, tol, rho float64
	}{
		{"mixed/orthodont-slope", .0512695, -.609, 2e-4, 5e-4},
		{"mixed/sleep-slope", 35.0717, .0656, 1e-4, 5e-5},
	} {
		f := fitReference(t, reference(t, c.id))
		near(t, c.slope, f.Random[3], c.tol, 0, c.id)
		assert.InDelta(t, c.correlation, f.Random[1]/math.Sqrt(f.Random[0]*f.Random[3]), c.rho, c.id)
	}
	e := fitReference(t, reference(t, "mixed/sleep-slope")).Contrast([]float64{0, 1}, .95)
	assert.InDelta(t, 6.771, e.Value/e.SE, 5e-4)
	assert.InDelta(t, 17, e.DF, 1e-3)
	e = fitReference(t, reference(t, "mixed/sleep-slope")).Contrast([]float64{1, 0}, .95)
	assert.InDelta(t, 36.838, e.Value/e.SE, 5e-4)
	sex := fitReference(t, reference(t, "mixed/orthodont")).Contrast([]float64{0, 0, 1}, .95)
	assert.InDelta(t, 9.2921, square(sex.Value/sex.SE), 5e-5) // lmerTest
	assert.InDelta(t, .0053751, sex.P, 5e-8)
}

// clubSandwich's vignette on panel data: P values, standard CR1 on 49 df.
// Naive standard error of the growth mean, rows as units.
func TestPublishedSandwiches(t *testing.T) {
	r := reference(t, "linear/mortality")
	for _, c := range []struct {
		v            Variance
		j            int
		se, p, seTol float64
	}{{CR1, 0, 2.44, .00313, 5e-3}, {CR2, 0, 2.51, .00583, 5e-3}, {CR1, 1, 5.14, .461, 5e-3}, {CR2, 1, 5.27, .497, 5e-3}} {
		f, err := FitLinear(r.linear(), c.v)
		require.NoError(t, err)
		e := f.Contrast(unit(len(r.Names), c.j), .95)
		assert.InDelta(t, c.se, e.SE, c.seTol, c.v)
		p := e.P
		if c.v == CR1 { // the vignette refers CR1 to t on clusters - 1
			p = tTwoSided(e.Value/e.SE, 49)
		}
		assert.InEpsilon(t, c.p, p, 2e-3, c.v)
	}
	x, _ := jawGrowth()
	naive, err := ClusteredMean(x, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, .2818024, naive.SE, 5e-8)
}

// MASS::quine, epil and the yeast counts of theta.ml's example: glm.nb of MASS
// in R 4.2.2, published for quine in Venables & Ripley 2002. Standard errors of
// coefficients are the model's.
func TestPublishedNegativeBinomial(t *testing.T) {
	for _, c := range []struct {
		id                               string
		theta, thetaSE, thetaTol, logLik float64
		coef, se                         []float64
	}{
		{"count/quine", 1.274893, .161, 4e-3, -1093.151, []float64{2.8945800, -.5693717, .0823203, -.4484281, .0880801, .3569009, .2921091}, []float64{.2284246, .1533334}},
		{"count/quine-mean", 1.066785, math.NaN(), 0, -1118.267, []float64{2.8008666}, []float64{.0826842}},
		{"count/quine-nested", 1.59799073, .212865444, 2e-5, -1063.02502, nil, nil},
		{"count/epil", 2.77158317, .39301716, 2e-5, -1294.35777, nil, nil},
		{"count/yeast", 3.58608743, 1.7496093, 2e-5, -2 * 446.531576, []float64{-.381992752}, []float64{.0660313733}},
	} {
		m, _ := reference(t, c.id).count()
		f, err := FitCount(m, NegativeBinomial, CR0)
		require.NoError(t, err)
		near(t, c.theta, f.Theta, 1e-6, 0, c.id)
		if !math.IsNaN(c.thetaSE) {
			near(t, c.thetaSE, f.ThetaSE, c.thetaTol, 0, c.id)
		}
		near(t, c.logLik, 2*f.LogLik, 1e-6, 0, c.id)
		for j, want := range c.coef {
			assert.InDelta(t, want, f.Coef[j], 1e-6, c.id)
		}
		for j, want := range c.se {
			near(t, want, f.ModelContrast(unit(len(f.Coef), j), .95).SE, 1e-5, 0, c.id, "SE")
		}
	}
	r := reference(t, "count/epil")
	m, _ := r.count()
	f, err := FitCount(m, NegativeBinomial, CR0)
	require.NoError(t, err)
	trt := f.ModelContrast(unit(len(r.Names), slices.Index(r.Names, "trtprogabide")), .95)
	assert.InDelta(t, -.285680498, trt.Value, 1e-6)
	near(t, .100278929, trt.SE, 1e-5, 0)
	quine := reference(t, "count/quine").Y
	mean, variance := meanVariance(quine)
	assert.InDelta(t, 16.4589, mean, 5e-5)
	assert.InDelta(t, 264.1673, variance, 5e-5)
	_, variance = meanVariance(reference(t, "count/yeast").Y)
	assert.InDelta(t, .81372807, variance, 5e-9)
}
