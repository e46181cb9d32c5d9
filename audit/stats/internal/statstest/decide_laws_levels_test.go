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
			called := func(q []float64) (n int) {
				for _, v := range f.adjust(q) {
					n += oneIf(v < .05)
				}
				return n
			}
			for i, level := range got {
				if math.IsNaN(p[i]) {
					assert.True(t, math.IsNaN(level))
					continue
				}
				q := append([]float64(nil), p...)
				before := called(p) - oneIf(f.adjust(p)[i] < .05)
				q[i] = level * (1 - 1e-9)
				if n := called(q); n-oneIf(f.adjust(q)[i] < .05) == before { // the others stand
					assert.Less(t, f.adjust(q)[i], .05, "%v %d", p, i)
				}
				q[i] = level * (1 + 1e-9)
				if n := called(q); n-oneIf(f.adjust(q)[i] < .05) == before {
					assert.GreaterOrEqual(t, f.adjust(q)[i], .05, "%v %d", p, i)
				}
			}
		}
	}
}

func oneIf(b bool) int {
	if b {
		return 1
	}
	return 0
}
