package robust

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

// Certified values of the NIST Statistical Reference Datasets (StRD), linear
// regression and analysis of variance. The data are as recalled from memory
// (Norris) and as in R's datasets::longley times the published units; the
// certified values confirm them.
func TestNISTNorris(t *testing.T) {
	y := []float64{.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, .3, .1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998, 888.8, 119.6, .3, .6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, .2}
	x := []float64{.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, .4, .6, 775.5, 666.9, 338, 447.5, 11.6, 556, 228.1, 995.8, 887.6, 120.2, .3, .3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1, 448.9, .5}
	m := stats.LinearModel{Names: []string{"B0", "B1"}, Y: y}
	for _, v := range x {
		m.X = append(m.X, 1, v)
	}
	certified(t, m, []float64{-0.262323073774029, 1.00211681802045}, []float64{0.232818234301152, 0.429796848199937e-03}, 0.884796396144373, 26.6173985294224, 1e-11)
	f, err := FitLinear(m, stats.CR0)
	require.NoError(t, err)
	e := f.ModelContrast([]float64{0, 1}, 0.95)
	statstest.Near(t, 5436385.54079785, e.Value*e.Value/(e.SE*e.SE), 1e-11, 0, "F")
	_, variance := numeric.MeanVariance(y)
	statstest.Near(t, 0.999993745883712, 1-f.RSS/(35*variance), 1e-14, 0, "R squared")
}

func TestNISTLongley(t *testing.T) {
	deflator := []float64{83, 88.5, 88.2, 89.5, 96.2, 98.1, 99, 100, 101.2, 104.6, 108.4, 110.8, 112.6, 114.2, 115.7, 116.9}
	gnp := []float64{234289, 259426, 258054, 284599, 328975, 346999, 365385, 363112, 397469, 419180, 442769, 444546, 482704, 502601, 518173, 554894}
	unemployed := []float64{2356, 2325, 3682, 3351, 2099, 1932, 1870, 3578, 2904, 2822, 2936, 4681, 3813, 3931, 4806, 4007}
	forces := []float64{1590, 1456, 1616, 1650, 3099, 3594, 3547, 3350, 3048, 2857, 2798, 2637, 2552, 2514, 2572, 2827}
	population := []float64{107608, 108632, 109773, 110929, 112075, 113270, 115094, 116219, 117388, 118734, 120445, 121950, 123366, 125368, 127852, 130081}
	m := stats.LinearModel{Names: []string{"B0", "B1", "B2", "B3", "B4", "B5", "B6"}, Y: []float64{
		60323, 61122, 60171, 61187, 63221, 63639, 64989, 63761, 66019, 67857, 68169, 66513, 68655, 69564, 69331, 70551,
	}}
	for i := range m.Y {
		m.X = append(m.X, 1, deflator[i], gnp[i], unemployed[i], forces[i], population[i], float64(1947+i))
	}
	certified(
		t, m,
		[]float64{-3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359, -0.0511041056535807, 1829.15146461355},
		[]float64{890420.383607373, 84.9149257747669, 0.0334910077722432, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212},
		304.854073561964, 836424.055505915, 1e-9,
	)
	f, err := FitLinear(m, stats.CR0)
	require.NoError(t, err)
	mean, total := 0.0, 0.0
	for _, y := range m.Y {
		mean += y / 16
	}
	for _, y := range m.Y {
		total += (y - mean) * (y - mean)
	}
	statstest.Near(t, 0.995479004577296, 1-f.RSS/total, 1e-12, 0, "R squared")
	statstest.Near(t, 330.285339234588, (total-f.RSS)/6/(f.RSS/f.DF), 1e-10, 0, "F")
}

// AtmWtAg: two instruments, the outcome agrees in its first seven digits.
func TestNISTAtomicWeightOfSilver(t *testing.T) {
	k := [2][]float64{
		{8681568, 8681465, 8681572, 8681785, 8681446, 8681903, 8681526, 8681494, 8681616, 8681587, 8681519, 8681486, 8681419, 8681569, 8681508, 8681672, 8681385, 8681518, 8681662, 8681424, 8681360, 8681333, 8681610, 8681477},
		{8681079, 8681344, 8681513, 8681197, 8681604, 8681385, 8681642, 8681365, 8681151, 8681082, 8681517, 8681448, 8681198, 8681482, 8681334, 8681609, 8681101, 8681512, 8681469, 8681360, 8681254, 8681261, 8681450, 8681368},
	}
	m := stats.LinearModel{Names: []string{"instrument 1", "difference"}}
	for g := range k {
		for _, v := range k[g] {
			m.X, m.Y = append(m.X, 1, float64(g)), append(m.Y, 107+v*1e-7)
		}
	}
	f, err := FitLinear(m, stats.CR0)
	require.NoError(t, err)
	e := f.ModelContrast([]float64{0, 1}, 0.95)
	statstest.Near(t, 1.04951729166667e-08, f.RSS, 1e-7, 0, "within")
	statstest.Near(t, 3.63834187500000e-09, 12*e.Value*e.Value, 1e-7, 0, "between")
	statstest.Near(t, 15.9467335677930, e.Value*e.Value/(e.SE*e.SE), 1e-7, 0, "F")
	statstest.Near(t, 1.51048314446410e-05, f.Sigma, 1e-7, 0, "residual SD")
	statstest.Near(t, 2.28155932971014e-10, f.RSS/f.DF, 1e-7, 0, "mean square within")
}

func certified(t *testing.T, m stats.LinearModel, coef, se []float64, sd, rss, tol float64) {
	t.Helper()
	f, err := FitLinear(m, stats.CR0)
	require.NoError(t, err)
	assert.Empty(t, f.Dropped)
	for j := range coef {
		e := f.ModelContrast(statstest.Unit(len(coef), j), 0.95)
		statstest.Near(t, coef[j], e.Value, tol, 0, m.Names[j])
		statstest.Near(t, se[j], e.SE, tol, 0, m.Names[j], "SE")
	}
	statstest.Near(t, sd, f.Sigma, tol, 0, "residual SD")
	statstest.Near(t, rss, f.RSS, tol, 0, "residual sum of squares")
}

// The univariate sets of NIST's Statistical Reference Datasets: certified mean and
// standard deviation.
func TestNISTUnivariate(t *testing.T) {
	sets := statstest.NISTSets(t)
	require.Len(t, sets, 5)
	for name, s := range sets {
		e, err := ClusteredMean(s.X, nil, .95)
		require.NoError(t, err)
		assert.InEpsilon(t, s.Mean, e.Value, 1e-14, name)
		assert.InEpsilon(t, s.SD, e.SE*math.Sqrt(float64(len(s.X))), 1e-7, name)
	}
}
