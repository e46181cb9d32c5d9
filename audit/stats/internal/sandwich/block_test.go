package sandwich

import (
	"fmt"
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
				few := newBlock(p)
				few.k, few.rows = k, rows
				few.products()
				x, e := make([]float64, p), make([]float64, k)
				for i := range x {
					x[i] = rng.NormFloat64()
				}
				for i := range e {
					e[i] = rng.NormFloat64()
				}
				f := newAdjuster(p, kind, 20)
				want, got, full := make([]float64, k), make([]float64, k), make([]float64, p*p)
				for i := range k {
					numeric.AddOuter(1, rows[i*p:(i+1)*p], full)
				}
				numeric.Mirror(p, full)
				name := fmt.Sprintf("%v, %d rows, size %v", kind, k, size)

				of := make([]float64, p)
				f.apply(full, x, of) // T F(I-N) l
				few.along(of, want)
				few.contrast(f, x, got)
				assert.InDeltaSlice(t, want, got, 1e-10, name)

				to, score, back := make([]float64, p), make([]float64, p), make([]float64, p)
				few.back(e, back)
				f.apply(full, back, to) // F(I-N) T'e
				few.score(f, e, score)
				assert.InDeltaSlice(t, to, score, 1e-10, name)
			}
		}
	}
}

func norm2(x []float64) float64 { return math.Sqrt(numeric.Dot(x, x)) }
