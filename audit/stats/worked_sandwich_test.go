package stats

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Growth of children's jaws (Potthoff & Roy 1964, nlme::Orthodont), least squares
// of distance on age and sex: every printed digit of lm and clubSandwich 0.5.8 (R
// 4.2.2), balanced and with the first i mod 4 visits of child i left out.
func TestEverySandwichOfGrowth(t *testing.T) {
	for _, c := range []struct {
		id          string
		coef, model []float64
		se          map[Variance][]float64
		df, p       []float64
		tolDF       float64
	}{
		{
			"linear/orthodont",
			[]float64{17.706712963, .660185185, -2.321022727},
			[]float64{1.1122095, .0977589, .4448862},
			map[Variance][]float64{
				CR0: {.8894562757, .0699213165, .7497705901}, // also GEE with exchangeable correlation, geepack
				CR1: {.9063998224, .0712532708, .7640532181},
				CR2: {.9094715762, .0712532708, .7822012116},
				CR3: {.9300003373, .0726105979, .8161214940},
			},
			[]float64{25.919234, 26, 21.653465},
			[]float64{-1, -1, .0071924260},
			5e-7,
		},
		{
			"linear/orthodont-66",
			[]float64{18.297740964, .628313253, -2.799548193},
			nil,
			map[Variance][]float64{
				CR0: {1.706814720, .136316823, .796160190},
				CR1: {1.739328398, .138913567, .811326509},
				CR2: {1.840598158, .146121540, .847252318},
			},
			[]float64{12.176105, 14.242192, 17.079597},
			[]float64{.00000033753, .00070675, .0041702574},
			5e-7,
		},
	} {
		for v, want := range c.se {
			f, err := FitLinear(reference(t, c.id).linear(), v)
			require.NoError(t, err)
			for j := range 3 {
				e := f.Contrast(unit(3, j), .95)
				assert.InDelta(t, c.coef[j], e.Value, 6e-10, "%s %v", c.id, v)
				assert.InDelta(t, want[j], e.SE, 6e-10, "%s %v", c.id, v)
				if c.model != nil {
					assert.InDelta(t, c.model[j], f.ModelContrast(unit(3, j), .95).SE, 6e-8, c.id)
				}
				if v != CR2 {
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

// Satterthwaite's and Kenward-Roger's df of distance on age and sex, balanced, one
// and the same there: lmerTest 3.1-3 and pbkrtest 0.5.2, R 4.2.2.
func TestBalancedGrowthDF(t *testing.T) {
	f := fitReference(t, reference(t, "mixed/orthodont"))
	for j, want := range []float64{99.352, 80, 25} {
		assert.InDelta(t, want, f.Contrast(unit(3, j), .95).DF, 5e-4)
		assert.InDelta(t, want, f.KenwardRoger(unit(3, j), .95).DF, 5e-4)
	}
}

// The jackknife bias of boot::city, (m-1)(mean R_(c) - R), and the limits of the
// jackknife on m-1 df: R 4.2.2 by formula.
func TestJackknifeOfCities(t *testing.T) {
	e, err := RatioOfSumsJackknife(cityX, cityU, nil, .95)
	require.NoError(t, err)
	mean, _ := meanVariance(jackknife(10, func(kept []int) float64 {
		var x, u float64
		for _, c := range kept {
			x += cityX[c]
			u += cityU[c]
		}
		return x / u
	}))
	assert.InDelta(t, .0382872, 9*(mean-e.Value), 5e-8)
	assert.EqualValues(t, 9, e.DF)
	assert.InDelta(t, e.Value-2.262157*.194791, e.Low, 5e-6) // t .975 on 9 df, any table
}

// Montgomery 2009: three-sigma limits of a p chart at .1 with 50 a point before
// they are clipped, -.0272792 and .2272792; Spiegelhalter's limits at .1 with 20,
// -.0496 and -.0397 before. By formula, R 4.2.2.
func TestLimitsBeforeTheyAreClipped(t *testing.T) {
	x, n := make([]int, 20), make([]int, 20)
	for i := range x {
		x[i], n[i] = 5, 50
	}
	c, err := PChart(x, n, 1, StandardLimits)
	require.NoError(t, err)
	p := c.Points[0]
	assert.InDelta(t, -.0272792, p.Centre-3*p.Sigma, 5e-8)
	assert.InDelta(t, .2272792, p.High, 5e-8)
	assert.Zero(t, p.Low)
	for q, want := range map[float64]float64{.001: -.0496, .025: -.0397} {
		r := binomialQuantile(q, 20, .1)
		y := (float64(r) - (binomialCDF(r, 20, .1)-q)/binomialProbability(r, 20, .1)) / 20
		assert.InDelta(t, want, y, 5e-5)
	}
}
