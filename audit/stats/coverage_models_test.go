package stats_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

// TestMain lets garbage stand longer than a program would: tests make much of it, and
// collecting it was a fifth of their time.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// styleData invents cases whose style is chosen by case (half of them) or by
// tooth, with outcomes correlated within a case by icc; the true difference is
// .1 at any planned amount.
func styleData(r *rand.Rand, cases int, icc float64, byCase bool, teeth func(*rand.Rand, int) int) stats.LinearModel {
	m := stats.LinearModel{Names: []string{"1", "style", "planned"}}
	for c := range cases {
		shift := math.Sqrt(icc) * r.NormFloat64()
		for k := range teeth(r, c) {
			style := float64(c % 2)
			if !byCase {
				style = float64((k + c) % 2)
			}
			planned := r.NormFloat64()
			m.X = append(m.X, 1, style, planned)
			m.Y = append(m.Y, .6+.1*style+.2*planned+.35*(shift+math.Sqrt(1-icc)*r.NormFloat64()))
			m.Cluster = append(m.Cluster, c)
		}
	}
	return m
}

// Nominal 95 % limits of the adjusted difference by CR2 with Satterthwaite df cover
// 93 to 97 % in every setting. The designs are those of the ratio's simulation;
// "extreme", where a handful of cases holds nearly all the information, is in the
// long form only.
func TestCoverageOfDifference(t *testing.T) {
	long := statstest.CoverageRuns() > 5000
	statstest.EachCoverageSetting(func(name string, cases int, icc float64, teeth func(*rand.Rand, int) int) {
		if name == "extreme" && !long {
			return
		}
		runs := statstest.CoverageRuns()
		if !long && cases > 40 {
			runs = max(runs/3, 100)
		}
		for _, byCase := range []bool{true, false} {
			t.Run(fmt.Sprintf("%s/cases=%d/icc=%v/bycase=%v", name, cases, icc, byCase), func(t *testing.T) {
				checkCoverage(t, runs, cases, icc, byCase, teeth)
			})
		}
	})
}

func checkCoverage(t *testing.T, runs, cases int, icc float64, byCase bool, teeth func(*rand.Rand, int) int) {
	r := rand.New(rand.NewPCG(2, uint64(cases)))
	c := []float64{0, 1, 0}
	hit := func(e stats.Estimate) int {
		if e.Low <= .1 && .1 <= e.High {
			return 1
		}
		return 0
	}
	var sandwich int
	for range runs {
		m := styleData(r, cases, icc, byCase, teeth)
		f, err := robust.FitLinear(m, stats.CR2)
		require.NoError(t, err)
		sandwich += hit(f.Contrast(c, 0.95))
	}
	share := float64(sandwich) / float64(runs)
	slack := statstest.CoverageSlack(runs)
	t.Logf("CR2 %.1f %%", 100*share)
	assert.InDelta(t, .95, share, .02+slack)
}
