package statstest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

// On grids where nothing differs, any rejection is false: Benjamini-Hochberg at
// .05 makes one in at most 5 % of grids (all nulls true: the false discovery
// rate is the chance of any rejection), Holm likewise.
func TestFalseDiscoveryOnNullGrids(t *testing.T) {
	grids := 4 * statstest.CoverageRuns()
	r := rand.New(rand.NewPCG(3, 3))
	var bh, holm int
	for range grids {
		p := make([]float64, 40)
		for i := range p {
			// A clustered comparison of two arms of 12 cases, nothing between them.
			var a, b []float64
			for range 12 {
				a, b = append(a, r.NormFloat64()), append(b, r.NormFloat64())
			}
			ma, va := numeric.MeanVariance(a)
			mb, vb := numeric.MeanVariance(b)
			p[i] = dist.TTwoSided((ma-mb)/math.Sqrt((va+vb)/12), 22)
		}
		if minimum(decide.BenjaminiHochberg(p)) <= .05 {
			bh++
		}
		if minimum(decide.Holm(p)) <= .05 {
			holm++
		}
	}
	rate := float64(bh) / float64(grids)
	t.Logf("Benjamini-Hochberg %.2f %%, Holm %.2f %% of %d null grids", 100*rate, 100*float64(holm)/float64(grids), grids)
	slack := 4 * math.Sqrt(.05*.95/float64(grids))
	assert.LessOrEqual(t, rate, .05+slack)
	assert.LessOrEqual(t, float64(holm)/float64(grids), .05+slack)
	assert.Greater(t, rate, .02) // a method that never rejects would pass the rest
}

func minimum(x []float64) float64 {
	low := math.Inf(1)
	for _, v := range x {
		low = min(low, v)
	}
	return low
}
