package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

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
		f := fitReference(t, statstest.Reference(t, c.id))
		for j := range c.coef {
			e := f.Contrast(statstest.Unit(len(c.coef), j), .95)
			statstest.Near(t, c.coef[j], e.Value, 1e-6, 0, c.id)
			statstest.Near(t, c.se[j], e.SE, 1e-5, 0, c.id, "SE")
		}
		statstest.Near(t, c.random, f.Random[0], 1e-4, 0, c.id, "between")
		statstest.Near(t, c.residual, f.Residual, 1e-4, 0, c.id, "within")
		if !math.IsNaN(c.logLik) {
			statstest.Near(t, c.logLik, f.LogLik, 1e-8, 0, c.id, "log likelihood")
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
		f := fitReference(t, statstest.Reference(t, c.id))
		statstest.Near(t, c.slope, f.Random[3], c.tol, 0, c.id)
		assert.InDelta(t, c.correlation, f.Random[1]/math.Sqrt(f.Random[0]*f.Random[3]), c.rho, c.id)
	}
	e := fitReference(t, statstest.Reference(t, "mixed/sleep-slope")).Contrast([]float64{0, 1}, .95)
	assert.InDelta(t, 6.771, e.Value/e.SE, 5e-4)
	assert.InDelta(t, 17, e.DF, 1e-3)
	e = fitReference(t, statstest.Reference(t, "mixed/sleep-slope")).Contrast([]float64{1, 0}, .95)
	assert.InDelta(t, 36.838, e.Value/e.SE, 5e-4)
	sex := fitReference(t, statstest.Reference(t, "mixed/orthodont")).Contrast([]float64{0, 0, 1}, .95)
	assert.InDelta(t, 9.2921, numeric.Square(sex.Value/sex.SE), 5e-5) // lmerTest
	assert.InDelta(t, .0053751, sex.P, 5e-8)
}

// Satterthwaite's and Kenward-Roger's df of distance on age and sex, balanced, one
// and the same there: lmerTest 3.1-3 and pbkrtest 0.5.2, R 4.2.2.
func TestBalancedGrowthDF(t *testing.T) {
	f := fitReference(t, statstest.Reference(t, "mixed/orthodont"))
	for j, want := range []float64{99.352, 80, 25} {
		assert.InDelta(t, want, f.Contrast(statstest.Unit(3, j), .95).DF, 5e-4)
		assert.InDelta(t, want, f.KenwardRoger(statstest.Unit(3, j), .95).DF, 5e-4)
	}
}
