package statstest_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/numeric"
)

func symmetric(rng *rand.Rand, d int) []float64 {
	a := make([]float64, d*d)
	for range d {
		v := make([]float64, d)
		for i := range v {
			v[i] = rng.NormFloat64() * float64(rng.IntN(3)) // singular ones among them
		}
		numeric.AddOuter(rng.NormFloat64(), v, a)
	}
	numeric.Mirror(d, a)
	return a
}

// TestJacobiIsTheLibrary: the same eigenvalues, and vectors that put the
// matrix together again.
func TestJacobiIsTheLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for d := 1; d <= numeric.SmallEigen; d++ {
		for range 50 {
			a := symmetric(rng, d)
			want, _, ok := numeric.SymmetricEigen(a, d)
			require.True(t, ok)
			values, vec := make([]float64, d), make([]float64, d*d)
			numeric.Eigen(slices.Clone(a), d, values, vec)
			again := make([]float64, d*d)
			for k, v := range values {
				col := make([]float64, d)
				for i := range col {
					col[i] = vec[i*d+k]
				}
				assert.InDelta(t, 1, numeric.Dot(col, col), 1e-13)
				numeric.AddOuter(v, col, again)
			}
			numeric.Mirror(d, again)
			assert.InDeltaSlice(t, a, again, 1e-12)
			slices.Sort(values)
			slices.Sort(want)
			assert.InDeltaSlice(t, want, values, 1e-12)
		}
	}
}

// BenchmarkEigen sets the rotations against the library.
func BenchmarkEigen(b *testing.B) {
	for _, d := range []int{2, 3, 4} {
		a := symmetric(rand.New(rand.NewPCG(3, 3)), d)
		values, vec, own := make([]float64, d), make([]float64, d*d), make([]float64, d*d)
		b.Run(fmt.Sprintf("%d/rotations", d), func(b *testing.B) {
			for b.Loop() {
				copy(own, a)
				numeric.Eigen(own, d, values, vec)
			}
		})
		b.Run(fmt.Sprintf("%d/library", d), func(b *testing.B) {
			for b.Loop() {
				numeric.SymmetricEigen(a, d)
			}
		})
	}
}
