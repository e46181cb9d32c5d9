package robust

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/statstest"
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
		{statstest.CityX, statstest.CityU, 1.23287, 2.20593, 5e-6},
	} {
		n := float64(len(c.num))
		a, va := stat.MeanVariance(c.num, nil)
		b, vb := stat.MeanVariance(c.den, nil)
		s, err := Fieller(a, b, va/n, vb/n, stat.Covariance(c.num, c.den, nil)/n, math.Inf(1), .95)
		require.NoError(t, err)
		assert.InDelta(t, c.low, s.Low, c.tol)
		assert.InDelta(t, c.high, s.High, c.tol)
	}
	naive, err := RatioOfSumsLinearised(statstest.ToyAchieve, statstest.ToyPlanned, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, .7394215, naive.High, 5e-8)
}

// clubSandwich's vignette on panel data: P values, standard CR1 on 49 df.
// Naive standard error of the growth mean, rows as units.
func TestPublishedSandwiches(t *testing.T) {
	r := statstest.Reference(t, "linear/mortality")
	for _, c := range []struct {
		v            stats.Variance
		j            int
		se, p, seTol float64
	}{{stats.CR1, 0, 2.44, .00313, 5e-3}, {stats.CR2, 0, 2.51, .00583, 5e-3}, {stats.CR1, 1, 5.14, .461, 5e-3}, {stats.CR2, 1, 5.27, .497, 5e-3}} {
		f, err := FitLinear(r.Linear(), c.v)
		require.NoError(t, err)
		e := f.Contrast(statstest.Unit(len(r.Names), c.j), .95)
		assert.InDelta(t, c.se, e.SE, c.seTol, c.v)
		p := e.P
		if c.v == stats.CR1 { // the vignette refers CR1 to t on clusters - 1
			p = dist.TTwoSided(e.Value/e.SE, 49)
		}
		assert.InEpsilon(t, c.p, p, 2e-3, c.v)
	}
	x, _ := statstest.JawGrowth()
	naive, err := ClusteredMean(x, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, .2818024, naive.SE, 5e-8)
}

// Growth of children's jaws (Potthoff & Roy 1964, nlme::Orthodont), least squares
// of distance on age and sex: every printed digit of lm and clubSandwich 0.5.8 (R
// 4.2.2), balanced and with the first i mod 4 visits of child i left out.
func TestEverySandwichOfGrowth(t *testing.T) {
	for _, c := range []struct {
		id          string
		coef, model []float64
		se          map[stats.Variance][]float64
		df, p       []float64
		tolDF       float64
	}{
		{
			"linear/orthodont",
			[]float64{17.706712963, .660185185, -2.321022727},
			[]float64{1.1122095, .0977589, .4448862},
			map[stats.Variance][]float64{
				stats.CR0: {.8894562757, .0699213165, .7497705901}, // also GEE with exchangeable correlation, geepack
				stats.CR1: {.9063998224, .0712532708, .7640532181},
				stats.CR2: {.9094715762, .0712532708, .7822012116},
				stats.CR3: {.9300003373, .0726105979, .8161214940},
			},
			[]float64{25.919234, 26, 21.653465},
			[]float64{-1, -1, .0071924260},
			5e-7,
		},
		{
			"linear/orthodont-66",
			[]float64{18.297740964, .628313253, -2.799548193},
			nil,
			map[stats.Variance][]float64{
				stats.CR0: {1.706814720, .136316823, .796160190},
				stats.CR1: {1.739328398, .138913567, .811326509},
				stats.CR2: {1.840598158, .146121540, .847252318},
			},
			[]float64{12.176105, 14.242192, 17.079597},
			[]float64{.00000033753, .00070675, .0041702574},
			5e-7,
		},
	} {
		for v, want := range c.se {
			f, err := FitLinear(statstest.Reference(t, c.id).Linear(), v)
			require.NoError(t, err)
			for j := range 3 {
				e := f.Contrast(statstest.Unit(3, j), .95)
				assert.InDelta(t, c.coef[j], e.Value, 6e-10, "%s %v", c.id, v)
				assert.InDelta(t, want[j], e.SE, 6e-10, "%s %v", c.id, v)
				if c.model != nil {
					assert.InDelta(t, c.model[j], f.ModelContrast(statstest.Unit(3, j), .95).SE, 6e-8, c.id)
				}
				if v != stats.CR2 {
					continue
				}
				assert.InDelta(t, c.df[j], e.DF, c.tolDF, c.id)
				if c.p[j] > 0 {
					assert.InEpsilon(t, c.p[j], e.P, 2e-5, c.id) // five digits are printed
				}
			}
		}
	}
}

// The limits of the jackknife of boot::city on m-1 df: R 4.2.2 by formula.
func TestJackknifeOfCities(t *testing.T) {
	e, err := RatioOfSumsJackknife(statstest.CityX, statstest.CityU, nil, .95)
	require.NoError(t, err)
	assert.EqualValues(t, 9, e.DF)
	assert.InDelta(t, e.Value-2.262157*.194791, e.Low, 5e-6) // t .975 on 9 df, any table
}
