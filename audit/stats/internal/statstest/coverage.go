package statstest

import (
	"math"
	"math/rand/v2"
	"os"

	"shortfall/audit/stats"
)

// CoverageRuns is the number of simulated audits a setting: short by default, 600 with
// SHORTFALL_LONG; STATS_LONG=1 runs the longest form, whose figures stand in DEVELOPERS.md.
func CoverageRuns() int {
	switch {
	case os.Getenv("STATS_LONG") != "":
		return 10000
	case os.Getenv("SHORTFALL_LONG") != "":
		return 600
	}
	return 100
}

// CoverageSlack is four standard errors of a simulated coverage of 95 %.
func CoverageSlack(runs int) float64 { return 4 * math.Sqrt(.95*.05/float64(runs)) }

// A design gives the number of teeth of case c of m.
var CoverageDesigns = map[string]func(r *rand.Rand, c int) int{
	"balanced":   func(*rand.Rand, int) int { return 8 },
	"unbalanced": func(r *rand.Rand, _ int) int { return 1 + int(r.ExpFloat64()*7) },
	// A quarter of the cases holds four fifths of the teeth.
	"extreme": func(_ *rand.Rand, c int) int {
		if c%4 == 0 {
			return 26
		}
		return 2
	},
}

// EachCoverageSetting runs f for 10 to 200 cases, every design and correlation; everyday 200
// cases, which are most of the time, have the largest correlation alone.
func EachCoverageSetting(f func(name string, cases int, icc float64, teeth func(*rand.Rand, int) int)) {
	for _, name := range []string{"balanced", "unbalanced", "extreme"} {
		for _, icc := range []float64{0, .1, .4} {
			for _, cases := range []int{10, 20, 40, 200} {
				if cases == 200 && icc < .4 && CoverageRuns() < 600 {
					continue
				}
				f(name, cases, icc, CoverageDesigns[name])
			}
		}
	}
}

// BetaBinomialCases draws successes of cases whose shares scatter with the given ICC.
func BetaBinomialCases(r *rand.Rand, cases int, p, icc float64, teeth func(*rand.Rand, int) int) (success []bool, cluster []int) {
	for c := range cases {
		own := betaRandom(r, p, icc)
		for range teeth(r, c) {
			success = append(success, r.Float64() < own)
			cluster = append(cluster, c)
		}
	}
	return success, cluster
}

// Covers is 1 where the interval holds the truth.
func Covers(e stats.Estimate, truth float64) int {
	if e.Low <= truth && truth <= e.High {
		return 1
	}
	return 0
}

// betaRandom draws a case's own probability: mean p, correlation icc.
func betaRandom(r *rand.Rand, p, icc float64) float64 {
	if icc == 0 {
		return p
	}
	k := (1 - icc) / icc
	a, b := gammaRandom(r, p*k), gammaRandom(r, (1-p)*k)
	return a / (a + b)
}

// gammaRandom is Marsaglia & Tsang's method (2000, ACM Trans Math Softw
// 26:363-372).
func gammaRandom(r *rand.Rand, shape float64) float64 {
	if shape < 1 {
		return gammaRandom(r, shape+1) * math.Pow(r.Float64(), 1/shape)
	}
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := r.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if math.Log(r.Float64()) < .5*x*x+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}
