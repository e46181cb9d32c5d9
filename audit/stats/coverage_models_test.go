package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// styleData invents cases whose style is chosen by case (half of them) or by
// tooth, with outcomes correlated within a case by icc; the true difference is
// .1 at any planned amount.
func styleData(r *rand.Rand, cases int, icc float64, byCase bool, teeth func(*rand.Rand, int) int) LinearModel {
	m := LinearModel{Names: []string{"1", "style", "planned"}}
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

// Nominal 95 % limits of the adjusted difference cover 93 to 97 %: CR2 with
// Satterthwaite df and (up to 40 cases) the random intercept with the same, in
// every setting. Kenward-Roger df do where cases differ; where they do not
// they are cautious for a difference between cases. The designs are those of the ratio's simulation; "extreme", where a
// handful of cases holds nearly all the information, is in the long form only.
func TestCoverageOfDifference(t *testing.T) {
	long := coverageRuns() > 5000
	eachCoverageSetting(func(name string, cases int, icc float64, teeth func(*rand.Rand, int) int) {
		if name == "extreme" && !long {
			return
		}
		runs := coverageRuns()
		if !long && cases > 40 {
			runs /= 3
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
	hit := func(e Estimate) int {
		if e.Low <= .1 && .1 <= e.High {
			return 1
		}
		return 0
	}
	var robust, mixed, kr int
	for range runs {
		m := styleData(r, cases, icc, byCase, teeth)
		f, err := FitLinear(m, CR2)
		require.NoError(t, err)
		robust += hit(f.Contrast(c, 0.95))
		if cases <= 40 {
			g, err := FitRandomIntercept(m, REML)
			require.NoError(t, err)
			mixed += hit(g.Contrast(c, 0.95))
			kr += hit(g.KenwardRoger(c, 0.95))
		}
	}
	share := float64(robust) / float64(runs)
	slack := coverageSlack(runs)
	t.Logf("CR2 %.1f %%", 100*share)
	assert.InDelta(t, .95, share, .02+slack)
	if cases <= 40 {
		share := float64(mixed) / float64(runs)
		t.Logf("random intercept %.1f %%", 100*share)
		assert.InDelta(t, .95, share, .02+slack)
		share = float64(kr) / float64(runs)
		t.Logf("Kenward-Roger %.1f %%", 100*share)
		assert.Greater(t, share, .93-slack)
		if icc > 0.1 || !byCase || cases > 20 { // else cautious, see KenwardRoger
			assert.Less(t, share, .97+slack)
		}
	}
}

// Rate ratios of refinements by style, one row a case, negative binomial with
// CR2: overdispersed counts with theta 1.5 and true ratio 1.4.
func TestCoverageOfRateRatio(t *testing.T) {
	runs := coverageRuns() / 2
	slack := coverageSlack(runs)
	for _, cases := range []int{20, 40, 200} {
		r := rand.New(rand.NewPCG(3, uint64(cases)))
		hit := 0
		for range runs {
			m := CountModel{Names: []string{"1", "style"}}
			for c := range cases {
				style := float64(c % 2)
				m.X = append(m.X, 1, style)
				m.Y = append(m.Y, invertedCount(r, 1.5, 1.2*math.Pow(1.4, style)))
			}
			f, err := FitCount(m, NegativeBinomial, CR2)
			require.NoError(t, err)
			if e := f.RateRatio([]float64{0, 1}, 0.95); e.Low <= 1.4 && 1.4 <= e.High {
				hit++
			}
		}
		share := float64(hit) / float64(runs)
		t.Logf("%d cases: %.1f %%", cases, 100*share)
		assert.InDelta(t, .95, share, .02+slack, "%d cases", cases)
	}
}

// invertedCount draws a negative binomial count by inverting its distribution
// function (p_0 = q^theta, p_k = p_(k-1) (k-1+theta)/k (1-q), q = theta/(theta+mu)).
func invertedCount(r *rand.Rand, theta, mu float64) float64 {
	q := theta / (theta + mu)
	p, u, k := math.Pow(q, theta), r.Float64(), 0.0
	for sum := p; sum < u && k < 1000; sum += p {
		k++
		p *= (k - 1 + theta) / k * (1 - q)
	}
	return k
}
