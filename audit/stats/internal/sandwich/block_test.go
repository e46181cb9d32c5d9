package sandwich

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// TestBlockOfRowsIsTheFullMatrix: a cluster kept as rows gives what its p x p
// matrix gives, for one row, a few, nearly and wholly determined directions.
func TestBlockOfRowsIsTheFullMatrix(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	const p = 9
	for _, kind := range []stats.Variance{stats.CR0, stats.CR1, stats.CR2, stats.CR3} {
		for _, size := range []float64{1e-9, 0.05, 0.25, 0.9, 1} {
			for k := 1; k <= 4; k++ {
				rows := make([]float64, k*p)
				if size == 1 { // orthonormal rows: I - N is singular
					for i := range k {
						rows[i*p+i] = 1
					}
				} else {
					for i := range rows {
						rows[i] = rng.NormFloat64()
					}
					for i := range k {
						row := rows[i*p : (i+1)*p]
						numeric.Scale(size/float64(k)/norm2(row), row)
					}
				}
				full := &block{p: p, k: k, n: make([]float64, p*p)}
				for i := range k {
					numeric.AddOuter(1, rows[i*p:(i+1)*p], full.n)
				}
				numeric.Mirror(p, full.n)
				few := &block{p: p, k: k, rows: rows, c: make([]float64, p), d: make([]float64, p), h: make([]float64, p*p)}
				x := make([]float64, p)
				for i := range x {
					x[i] = rng.NormFloat64()
				}
				want, got := make([]float64, p), make([]float64, p)
				full.apply(newAdjuster(p, kind, 20), x, want)
				few.apply(newAdjuster(p, kind, 20), x, got)
				assert.InDeltaSlice(t, want, got, 1e-10, "%v, %d rows, size %v", kind, k, size)
				full.times(x, want)
				few.times(x, got)
				assert.InDeltaSlice(t, want, got, 1e-12)
			}
		}
	}
}

func norm2(x []float64) float64 { return math.Sqrt(numeric.Dot(x, x)) }
