package statstest_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/internal/numeric"
)

func fourRows(p int) (rows []float64) {
	rng := rand.New(rand.NewPCG(6, 1))
	for range 4 * p {
		rows = append(rows, rng.NormFloat64())
	}
	return rows
}

// TestAddOuter4: four rows at a time are four rows one by one.
func TestAddOuter4(t *testing.T) {
	w := &[4]float64{1, 0.5, 0, 3}
	for p := 1; p <= 7; p++ {
		rows := fourRows(p)
		want, got := make([]float64, p*p), make([]float64, p*p)
		for k := range 4 {
			numeric.AddOuter(w[k], rows[k*p:(k+1)*p], want)
		}
		numeric.AddOuter4(w, numeric.Quarters(rows, p), got)
		assert.InDeltaSlice(t, want, got, 1e-14, p)
	}
}

// BenchmarkAddOuter4 sets four rows at a time against one by one.
func BenchmarkAddOuter4(b *testing.B) {
	for _, p := range []int{8, 21, 100} {
		rows, m := fourRows(p), make([]float64, p*p)
		b.Run(fmt.Sprintf("%d-columns/four at a time", p), func(b *testing.B) {
			for b.Loop() {
				numeric.AddOuter4(&numeric.Ones, numeric.Quarters(rows, p), m)
			}
		})
		b.Run(fmt.Sprintf("%d-columns/one by one", p), func(b *testing.B) {
			for b.Loop() {
				for k := range 4 {
					numeric.AddOuter(1, rows[k*p:(k+1)*p], m)
				}
			}
		})
	}
}
