package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/prop"
)

// Cochran 1977, Sampling Techniques, table 2.3: 33 families.
var (
	cochranSize = []float64{
		2, 3, 3, 5, 4, 7, 2, 4, 2, 5, 3, 6, 4, 4, 2, 5, 3, 4, 2, 4, 2, 5, 3, 4, 7, 3, 3, 6, 2, 2, 6, 4, 2,
	}
	cochranIncome = []float64{
		62, 62, 87, 65, 58, 92, 88, 79, 83, 62, 63, 62, 60, 75, 90, 75, 69, 83, 85, 73, 66, 58, 77, 69, 65, 77, 69, 95, 77, 69, 69, 67, 63,
	}
	cochranFood = []float64{
		14.3, 20.8, 22.7, 30.5, 41.2, 28.2, 24.2, 30, 24.2, 44.4, 13.4, 19.8, 29.4, 27.1, 22.2, 37.7, 22.6, 36, 20.6, 27.7, 25.9,
		23.5, 39.8, 16.8, 37.8, 34.8, 28.7, 63, 19.5, 21.6, 18.2, 20.1, 20.7,
	}
)

// The book prints 7.38 (SE 0.534) and 37.9 % (SE 2.38 %); more digits with R
// 4.2.2 from the listed data, no finite population correction.
func TestRatioOfCochran(t *testing.T) {
	for _, c := range []struct {
		den                    []float64
		ratio, se, seJackknife float64
	}{
		{cochranSize, 7.3772357724, .5335716921, .5394665405},
		{cochranIncome, .3790309106, .0237836102, .0238209176},
	} {
		e, err := RatioOfSumsLinearised(cochranFood, c.den, nil, .95)
		require.NoError(t, err)
		assert.InDelta(t, c.ratio, e.Value, 1e-9)
		assert.InDelta(t, c.se, e.SE, 1e-9)
		assert.EqualValues(t, 32, e.DF)
		j, err := RatioOfSumsJackknife(cochranFood, c.den, nil, .95)
		require.NoError(t, err)
		assert.InDelta(t, c.seJackknife, j.SE, 1e-9)
		r, err := RatioOfSums(cochranFood, c.den, nil, .95)
		require.NoError(t, err)
		assert.InEpsilon(t, e.SE, r.SE, .03)
	}
}

// City populations: survey::svyratio and the jackknife, R 4.2.2.
func TestRatioOfCities(t *testing.T) {
	e, err := RatioOfSumsLinearised(statstest.CityX, statstest.CityU, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, 1.5203125, e.Value, 1e-12)
	assert.InDelta(t, .189993, e.SE, 5e-7)
	// Davison & Hinkley's own variance divides by n^2: 0.180244.
	assert.InDelta(t, .180244, e.SE*math.Sqrt(.9), 5e-7)
	j, err := RatioOfSumsJackknife(statstest.CityX, statstest.CityU, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, .194791, j.SE, 5e-7)
	assert.Contains(t, statstest.WarningIDs(e.Warnings), "uncertain-denominator")
}

func TestRatioOfSumsByCase(t *testing.T) {
	e, err := RatioOfSumsLinearised(statstest.ToyAchieve, statstest.ToyPlanned, statstest.ToyCase, .95)
	require.NoError(t, err)
	assert.InDelta(t, .6222222222, e.Value, 1e-10)
	assert.InDelta(t, .0870277132, e.SE, 1e-10)
	assert.InDelta(t, .3452612, e.Low, 5e-8)
	assert.InDelta(t, .8991832, e.High, 5e-8)
	naive, err := RatioOfSumsLinearised(statstest.ToyAchieve, statstest.ToyPlanned, nil, .95)
	require.NoError(t, err)
	assert.InDelta(t, .0525996118, naive.SE, 1e-10)
	assert.InDelta(t, .5050230, naive.Low, 5e-8)
	assert.InDelta(t, 2.7374744, numeric.Square(e.SE/naive.SE), 5e-8) // design effect
	ratios := make([]float64, len(statstest.ToyAchieve))
	for i := range ratios {
		ratios[i] = statstest.ToyAchieve[i] / statstest.ToyPlanned[i]
	}
	mean, err := ClusteredMean(ratios, statstest.ToyCase, .95) // of ratios, small plans counting as much as large
	require.NoError(t, err)
	assert.InDelta(t, .6045454545, mean.Value, 1e-10)
}

// The CR2 variance and its degrees of freedom, from their matrix definition
// (Bell & McCaffrey 2002): slow, and written apart from the closed form.
func TestRatioCR2AgainstItsDefinition(t *testing.T) {
	e, err := RatioOfSumsCR2(statstest.ToyAchieve, statstest.ToyPlanned, statstest.ToyCase, .95)
	require.NoError(t, err)
	groups := bycase.Rows(len(statstest.ToyCase), statstest.ToyCase)
	m := len(groups)
	num, den := make([]float64, m), make([]float64, m)
	var total float64
	for c, g := range groups {
		for _, i := range g {
			num[c] += statstest.ToyAchieve[i]
			den[c] += statstest.ToyPlanned[i]
		}
		total += den[c]
	}
	var v, trace, square2 float64
	for c := range m {
		hc := den[c] / total
		v += numeric.Square(num[c]-e.Value*den[c]) / (1 - hc) / (total * total)
		trace += (den[c] - den[c]*den[c]/total) / (1 - hc)
		for d := range m {
			hd := den[d] / total
			cov := -den[c] * den[d] / total
			if c == d {
				cov += den[c]
			}
			square2 += cov * cov / ((1 - hc) * (1 - hd))
		}
	}
	assert.InDelta(t, math.Sqrt(v), e.SE, 1e-14)
	assert.InDelta(t, trace*trace/square2, e.DF, 1e-12)
}

func TestRatioRefusesAndWarns(t *testing.T) {
	_, err := RatioOfSums([]float64{1, 2}, []float64{1}, nil, .95)
	require.Error(t, err)
	_, err = RatioOfSums([]float64{1, math.NaN()}, []float64{1, 2}, nil, .95)
	require.ErrorContains(t, err, "value 1")
	_, err = RatioOfSums([]float64{1}, []float64{1}, []int{1, 2}, .95)
	require.Error(t, err)
	_, err = RatioOfSums([]float64{1}, []float64{1}, nil, 95)
	require.ErrorContains(t, err, "level")
	for name, c := range map[string]struct {
		num, den []float64
		cluster  []int
		warning  string
	}{
		"none":     {nil, nil, nil, "no-data"},
		"one case": {[]float64{1, 2}, []float64{2, 3}, []int{7, 7}, "one-case"},
		"nothing":  {[]float64{1, 2}, []float64{0, 0}, []int{1, 2}, "zero-denominator"},
		"all one":  {[]float64{1, 2}, []float64{5, 0}, []int{1, 2}, "one-case-dominates"},
	} {
		e, err := RatioOfSums(c.num, c.den, c.cluster, .95)
		require.NoError(t, err, name)
		assert.True(t, math.IsNaN(e.Low) && math.IsNaN(e.High) && math.IsNaN(e.SE), name)
		assert.Equal(t, []string{c.warning}, statstest.WarningIDs(e.Warnings), name)
	}
	e, err := RatioOfSums([]float64{1, 2, -1}, []float64{2, 3, -2}, nil, .95)
	require.NoError(t, err)
	assert.Contains(t, statstest.WarningIDs(e.Warnings), "mixed-signs")
	assert.False(t, math.IsNaN(e.SE))
}

// Ids with gaps, in any order, count the cases that are there.
func TestGapsAmongIdsAreNotCases(t *testing.T) {
	e, err := RatioOfSumsLinearised([]float64{1, 2, 1.5, 3}, []float64{2, 3, 2, 5}, []int{9, 2, 9, 5}, .95)
	require.NoError(t, err)
	assert.Equal(t, 3, e.Clusters)
	f, err := RatioOfSumsLinearised([]float64{2, 3, 1, 1.5}, []float64{3, 5, 2, 2}, []int{2, 5, 9, 9}, .95)
	require.NoError(t, err)
	assert.InDelta(t, f.SE, e.SE, 1e-15)
	p, err := prop.ClusteredProportion([]bool{true, false, true, false}, []int{9, 2, 9, 5}, .95)
	require.NoError(t, err)
	assert.Equal(t, 3, p.Clusters)
}

func BenchmarkRatio100k(b *testing.B) {
	num, den, cluster, _ := statstest.BenchData()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RatioOfSums(num, den, cluster, .95); err != nil {
			b.Fatal(err)
		}
	}
}

// Ids in any order cost two arrays, and sparse ones a map.
func BenchmarkRatio100kShuffled(b *testing.B) {
	num, den, cluster, _ := statstest.BenchData()
	rand.New(rand.NewPCG(2, 2)).Shuffle(len(num), func(i, j int) {
		num[i], num[j] = num[j], num[i]
		den[i], den[j] = den[j], den[i]
		cluster[i], cluster[j] = cluster[j], cluster[i]
	})
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RatioOfSums(num, den, cluster, .95); err != nil {
			b.Fatal(err)
		}
	}
}
