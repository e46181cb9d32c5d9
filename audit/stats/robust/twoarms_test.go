package robust

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

func armsData(rng *rand.Rand, n, cases int) (x, y, w []float64, cluster []int) {
	for range n {
		g := rng.IntN(cases)
		arm := float64(rng.IntN(2))
		if g%3 == 0 {
			arm = float64(g / 3 % 2)
		}
		x, y = append(x, 1, arm), append(y, 0.7+0.1*arm+0.1*float64(g%5)+rng.NormFloat64())
		w, cluster = append(w, 0.2+rng.Float64()), append(cluster, g)
	}
	return x, y, w, cluster
}

// TestTwoArmsIsTheModel: the closed form gives the general fit, also where a
// case alone makes up an arm, and without weights or clusters.
func TestTwoArmsIsTheModel(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for _, size := range [][2]int{{6, 3}, {40, 9}, {300, 40}} {
		x, y, w, cluster := armsData(rng, size[0], size[1])
		alone := make([]float64, len(x))
		for i := range cluster { // case 0 is the whole of one arm
			alone[2*i], alone[2*i+1] = 1, 0
			if cluster[i] == cluster[0] {
				alone[2*i+1] = 1
			}
		}
		for _, design := range [][]float64{x, alone} {
			for _, weights := range [][]float64{w, nil} {
				for _, ids := range [][]int{cluster, nil} {
					for _, v := range []stats.Variance{stats.CR0, stats.CR1, stats.CR2, stats.CR3} {
						checkArms(t, stats.LinearModel{Names: []string{"intercept", "arm"}, X: design, Y: y, Weights: weights, Cluster: ids, InverseVariance: true}, v)
					}
				}
			}
		}
	}
}

func checkArms(t *testing.T, m stats.LinearModel, v stats.Variance) {
	t.Helper()
	quick, err := FitLinear(m, v)
	require.NoError(t, err)
	require.IsType(t, &sandwich.ArmsSandwich{}, quick.robust)
	plain := *quick
	plain.design = (&sandwich.Orthonormal{Solution: sandwich.Solution{Width: 2}, N: len(m.Y), X: m.X, RootW: sandwich.Roots(m.Weights)}).Solve(numeric.StreamQR(m.X, m.Y, sandwich.Roots(m.Weights), 2), m.Y)
	plain.robust = sandwich.NewPlainSandwich(plain.design, sandwich.NewClustering(len(m.Y), m.Cluster), v)
	assert.InDeltaSlice(t, plain.design.Coef, quick.Coef, 1e-12)
	assert.InDelta(t, plain.design.RSS, quick.RSS, 1e-11*quick.RSS)
	assert.InDeltaSlice(t, plain.Cov(), quick.Cov(), 1e-11)
	for _, c := range [][]float64{{0, 1}, {1, 0}, {1, 1}, {2, -1}} {
		want, got := plain.Contrast(c, 0.95), quick.Contrast(c, 0.95)
		assert.InDelta(t, want.Value, got.Value, 1e-12)
		assert.Equal(t, want.Warnings, got.Warnings)
		inDeltaOrNaN(t, want.SE, got.SE)
		inDeltaOrNaN(t, want.DF, got.DF)
		inDeltaOrNaN(t, want.Low, got.Low)
		inDeltaOrNaN(t, want.P, got.P)
	}
}

func inDeltaOrNaN(t *testing.T, want, got float64) {
	t.Helper()
	if want == want { // not NaN
		assert.InDelta(t, want, got, 1e-8*(1+math.Abs(want)))
		return
	}
	assert.NotEqual(t, got, got, "NaN wanted")
}

// BenchmarkTwoArms sets the closed form against the general fit.
func BenchmarkTwoArms(b *testing.B) {
	x, y, w, cluster := armsData(rand.New(rand.NewPCG(5, 2)), 20000, 3000)
	m := stats.LinearModel{Names: []string{"intercept", "arm"}, X: x, Y: y, Weights: w, Cluster: cluster, InverseVariance: true}
	b.Run("closed", func(b *testing.B) {
		for b.Loop() {
			fit, err := FitLinear(m, stats.CR2)
			require.NoError(b, err)
			fit.Contrast([]float64{0, 1}, 0.95)
		}
	})
	b.Run("general", func(b *testing.B) {
		for b.Loop() {
			o := sandwich.NewOrthonormal(x, y, sandwich.Roots(w), 2)
			s := sandwich.NewPlainSandwich(o, sandwich.NewClustering(len(y), cluster), stats.CR2)
			s.Gather([][]float64{{0, 1}})
		}
	})
}
