package sandwich

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
)

// gramData is a design with an intercept, indicators and numbers, close of
// which is how near the last column comes to the one before it (1: not).
func gramData(rng *rand.Rand, n, width int, near float64) (x, y, root []float64) {
	for range n {
		row := make([]float64, width)
		row[0] = 1
		for j := 1; j < width; j++ {
			row[j] = rng.NormFloat64()
			if j%2 == 0 {
				row[j] = float64(rng.IntN(2))
			}
		}
		row[width-1] = row[width-2] + near*rng.NormFloat64()
		x = append(x, row...)
		y, root = append(y, 0.5+row[1]+rng.NormFloat64()), append(root, 0.3+rng.Float64())
	}
	return x, y, root
}

// TestGramIsTheQR: cross-products give the fit of the Householder reflections
// to eleven digits, drop the column that depends on another as these do, and are
// refused where columns nearly depend on each other.
func TestGramIsTheQR(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for _, n := range []int{9, 50, 501} {
		for _, width := range []int{3, 4, 8} {
			for _, near := range []float64{1, 0.1, 1e-3, 1e-6, 0} {
				name := fmt.Sprintf("%d rows, %d columns, %v", n, width, near)
				x, y, root := gramData(rng, n, width, near)
				r, ok := gramFactor(x, y, root, width)
				if near > 0 && near <= 1e-3 {
					require.False(t, ok, name)
					continue
				}
				require.True(t, ok, name)
				plain := (&Orthonormal{Solution: Solution{Width: width}, N: n, X: x, RootW: root}).Solve(numeric.StreamQR(x, y, root, width), y)
				quick := (&Orthonormal{Solution: Solution{Width: width}, N: n, X: x, RootW: root}).Solve(r, y)
				require.Equal(t, plain.Dropped, quick.Dropped, name)
				require.Len(t, quick.Dropped, one(near == 0), name)
				assert.InDeltaSlice(t, plain.alias, quick.alias, 1e-11, name)
				assert.InDeltaSlice(t, plain.Coef, quick.Coef, 1e-11, name)
				assert.InDelta(t, plain.RSS, quick.RSS, 1e-11*plain.RSS, name)
				for i := range plain.t { // the columns' signs may differ
					require.InDelta(t, math.Abs(plain.t[i]), math.Abs(quick.t[i]), 1e-11, name)
				}
			}
		}
	}
}

func one(dropped bool) int {
	if dropped {
		return 1
	}
	return 0
}

// TestSeveralColumnsDepend: indicators of teeth that make up those of their classes, a
// column of nothing, and one as near as the reflections still tell apart, which they
// are left to decide.
func TestSeveralColumnsDepend(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 4))
	const n, width = 400, 9
	design := func(near float64) (x, y, root []float64) {
		for range n {
			tooth := rng.IntN(4)
			row := make([]float64, width)
			row[0], row[1] = 1, rng.NormFloat64()
			if tooth < 2 {
				row[2] = 1
			}
			row[3+tooth] = 1
			row[7] = 2*row[1] - row[2] + near*rng.NormFloat64()
			x, root = append(x, row...), append(root, 0.5+rng.Float64())
			y = append(y, rng.NormFloat64()+row[1]+float64(tooth))
		}
		return x, y, root
	}
	x, y, root := design(0)
	r, ok := gramFactor(x, y, root, width)
	require.True(t, ok)
	plain := (&Orthonormal{Solution: Solution{Width: width}, N: n, X: x, RootW: root}).Solve(numeric.StreamQR(x, y, root, width), y)
	quick := (&Orthonormal{Solution: Solution{Width: width}, N: n, X: x, RootW: root}).Solve(r, y)
	require.Equal(t, []int{4, 6, 7, 8}, plain.Dropped)
	require.Equal(t, plain.Dropped, quick.Dropped)
	assert.InDeltaSlice(t, plain.alias, quick.alias, 1e-11)
	assert.InDeltaSlice(t, plain.Coef, quick.Coef, 1e-11)
	for _, near := range []float64{1e-5, 1e-6} { // kept: far more than rounding
		x, y, root = design(near)
		_, ok = gramFactor(x, y, root, width)
		require.False(t, ok)
		require.Equal(t, []int{4, 6, 8}, NewOrthonormal(x, y, root, width).Dropped)
	}
}

// TestRowsKeptOrNot: a fit whose T is too large to be kept is the same fit.
func TestRowsKeptOrNot(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 2))
	x, y, root := gramData(rng, 300, 6, 1)
	cluster := make([]int, len(y))
	for i := range cluster {
		cluster[i] = rng.IntN(60) // not sorted
	}
	for _, v := range []stats.Variance{stats.CR0, stats.CR2, stats.CR3} {
		o := NewOrthonormal(x, y, root, 6)
		kept := NewPlainSandwich(o, NewClustering(len(y), cluster), v)
		o = NewOrthonormal(x, y, root, 6)
		o.t = nil
		not := NewPlainSandwich(o, NewClustering(len(y), cluster), v)
		assert.Equal(t, kept.Meat(), not.Meat())
		l := []float64{0, 0.1, 0, 1, -1, 2}
		assert.Equal(t, kept.Gather([][]float64{l}).moments(nil), not.Gather([][]float64{l}).moments(nil))
		assert.InDelta(t, Quadratic(kept.Meat(), l), not.Between([][]float64{l})[0], 1e-14*not.Between([][]float64{l})[0])
	}
}

// BenchmarkTriangle sets the cross-products against the reflections.
func BenchmarkTriangle(b *testing.B) {
	for _, width := range []int{4, 20} {
		x, y, root := gramData(rand.New(rand.NewPCG(8, 3)), 20000, width, 1)
		b.Run(fmt.Sprintf("%d-columns/cross-products", width), func(b *testing.B) {
			for b.Loop() {
				_, ok := gramFactor(x, y, root, width)
				require.True(b, ok)
			}
		})
		b.Run(fmt.Sprintf("%d-columns/reflections", width), func(b *testing.B) {
			for b.Loop() {
				numeric.StreamQR(x, y, root, width)
			}
		})
	}
}
