package statstest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/internal/numeric"
)

// TestLogSumIsTheSum: products in place of logs, from tiny to huge terms.
func TestLogSumIsTheSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for _, size := range []float64{1e-12, 1e-3, 1, 1e6, 1e150} {
		for _, exact := range []bool{false, true} {
			s, want := numeric.LogSum{Exact: exact}, 0.0
			for range 3000 {
				x := size * rng.ExpFloat64()
				s.Add(x)
				want += math.Log1p(x)
			}
			assert.InDelta(t, 1, s.Sum()/want, 1e-12, "%v", size)
		}
	}
}

// BenchmarkLogSum sets products against a log a term.
func BenchmarkLogSum(b *testing.B) {
	x := make([]float64, 10000)
	for i := range x {
		x[i] = float64(i%97) / 40
	}
	for name, exact := range map[string]bool{"products": false, "logs": true} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				s := numeric.LogSum{Exact: exact}
				for _, v := range x {
					s.Add(v)
				}
				s.Sum()
			}
		})
	}
}
