package statstest

import (
	"math"
	"math/rand/v2"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// JawGrowth is nlme::Orthodont, distance in mm at ages 8, 10, 12, 14: children
// 1-16 boys M01-M16, 17-27 girls F01-F11 (Potthoff & Roy 1964, Biometrika
// 51:313-326).
func JawGrowth() (x []float64, child []int) {
	x = []float64{
		26, 25, 29, 31, 21.5, 22.5, 23, 26.5, 23, 22.5, 24, 27.5, 25.5, 27.5, 26.5, 27, 20, 23.5, 22.5, 26, 24.5, 25.5, 27, 28.5,
		22, 22, 24.5, 26.5, 24, 21.5, 24.5, 25.5, 23, 20.5, 31, 26, 27.5, 28, 31, 31.5, 23, 23, 23.5, 25, 21.5, 23.5, 24, 28,
		17, 24.5, 26, 29.5, 22.5, 25.5, 25.5, 26, 23, 24.5, 26, 30, 22, 21.5, 23.5, 25,
		21, 20, 21.5, 23, 21, 21.5, 24, 25.5, 20.5, 24, 24.5, 26, 23.5, 24.5, 25, 26.5, 21.5, 23, 22.5, 23.5, 20, 21, 21, 22.5,
		21.5, 22.5, 23, 25, 23, 23, 23.5, 24, 20, 21, 22, 21.5, 16.5, 19, 19, 19.5, 24.5, 25, 28, 28,
	}
	for i := range x {
		child = append(child, 1+i/4)
	}
	return x, child
}

// BenchData is 100,000 movements in 2,500 cases of 40, as in
// testdata/bench_basics.R.
func BenchData() (num, den []float64, cluster []int, success []bool) {
	r := rand.New(rand.NewPCG(1, 1))
	for c := range 2500 {
		shared := .2 * r.NormFloat64()
		for range 40 {
			d := math.Exp(.5 * r.NormFloat64())
			n := d * (.6 + shared + .3*r.NormFloat64())
			num, den, cluster, success = append(num, n), append(den, d), append(cluster, c), append(success, n > .5*d)
		}
	}
	return num, den, cluster, success
}

// ModelBenchData is the invented data of testdata/bench_models.R: the generator of
// Park & Miller (1988, Communications of the ACM 31:1192-1201) gives both
// languages the same numbers.
func ModelBenchData(cases, rows int) (m stats.LinearModel, counts []float64) {
	state := int64(20240229)
	uniform := func() float64 {
		state = state * 16807 % 2147483647
		return float64(state) / 2147483647
	}
	beta := []float64{.5, .1, .2, -.1, .05, .3}
	gamma := []float64{.5, .3, .2, -.1, 0, .1}
	m.Names = []string{"1", "x1", "x2", "x3", "x4", "x5"}
	shift := 0.0
	for i := range cases * rows {
		var u [16]float64
		for k := range u {
			u[k] = uniform()
		}
		x := []float64{1, Indicator(u[6] < .5), u[7], u[8], Indicator(u[9] < .3), u[10]}
		if i%rows == 0 {
			shift = u[11] + u[12] + u[13] + u[14] - 2
		}
		m.X = append(m.X, x...)
		m.Y = append(m.Y, numeric.Dot(beta, x)+shift+u[0]+u[1]+u[2]+u[3]+u[4]+u[5]-3)
		m.Cluster = append(m.Cluster, i/rows)
		counts = append(counts, math.Floor(-math.Log(u[15])*math.Exp(numeric.Dot(gamma, x))))
	}
	return m, counts
}

// Indicator is 1 for true.
func Indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// boot::city, Davison & Hinkley 1997, Bootstrap Methods, table 1.3.
var (
	CityU = []float64{138, 93, 61, 179, 48, 37, 29, 23, 30, 2}
	CityX = []float64{143, 104, 69, 260, 75, 63, 50, 48, 111, 50}
)

// Eleven movements of four cases, an example of our own; values with R 4.2.2.
var (
	ToyCase    = []int{1, 1, 1, 2, 2, 3, 3, 3, 3, 4, 4}
	ToyPlanned = []float64{2, 3, 1.5, 4, 2, 1, 2.5, 3, 2, 5, 1}
	ToyAchieve = []float64{1.2, 1.5, 1, 2.8, 1.6, .3, 1, 1.6, .9, 4, .9}
)

// WarningIDs are the ids of warnings, in their order.
func WarningIDs(w []stats.Warning) []string {
	var ids []string
	for _, v := range w {
		ids = append(ids, v.ID)
	}
	return ids
}
