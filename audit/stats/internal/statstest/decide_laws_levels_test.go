package statstest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/decide"
)

// HolmLevels( and BenjaminiHochbergLevels( are the levels of the verdict: a P just
// below is called, just above is not, the others as they were.
func TestLevelsAreThoseOfTheVerdict(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		p := make([]float64, 1+r.IntN(7))
		for i := range p {
			if p[i] = math.Pow(r.Float64(), 4); r.IntN(8) == 0 {
				p[i] = math.NaN()
			}
		}
		for _, f := range []struct {
			adjust func([]float64) []float64
			levels func([]float64, float64) []float64
		}{{decide.Holm, decide.HolmLevels}, {decide.BenjaminiHochberg, decide.BenjaminiHochbergLevels}} {
			got := f.levels(p, .05)
			others := func(q []float64, i int) (n int) { // that are called beside the i-th
				for k, v := range f.adjust(q) {
					if k != i && v < .05 {
						n++
					}
				}
				return n
			}
			for i, level := range got {
				if math.IsNaN(p[i]) {
					assert.True(t, math.IsNaN(level))
					continue
				}
				q := append([]float64(nil), p...)
				before := others(p, i)
				q[i] = level * (1 - 1e-9)
				if others(q, i) == before { // they stand
					assert.Less(t, f.adjust(q)[i], .05, "%v %d", p, i)
				}
				q[i] = level * (1 + 1e-9)
				if others(q, i) == before {
					assert.GreaterOrEqual(t, f.adjust(q)[i], .05, "%v %d", p, i)
				}
			}
		}
	}
}
