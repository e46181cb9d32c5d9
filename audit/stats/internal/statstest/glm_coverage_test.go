package statstest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
)

// Rate ratios of refinements by style, one row a case, negative binomial with
// CR2: overdispersed counts with theta 1.5 and true ratio 1.4.
func TestCoverageOfRateRatio(t *testing.T) {
	runs := statstest.CoverageRuns() / 2
	slack := statstest.CoverageSlack(runs)
	for _, cases := range []int{20, 40, 200} {
		r := rand.New(rand.NewPCG(3, uint64(cases)))
		hit := 0
		for range runs {
			m := glm.CountModel{Names: []string{"1", "style"}}
			for c := range cases {
				style := float64(c % 2)
				m.X = append(m.X, 1, style)
				m.Y = append(m.Y, invertedCount(r, 1.5, 1.2*math.Pow(1.4, style)))
			}
			f, err := glm.FitCount(m, glm.NegativeBinomial, stats.CR2)
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
