package robust

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

// One row a case is the textbook formula of independent observations.
func TestOneRowACaseIsTheTextbook(t *testing.T) {
	x, den, _ := statstest.LawData(2)
	n := len(x)
	ids := make([]int, n)
	for i := range ids {
		ids[i] = (i * 37) % n * 11 // any distinct names
	}
	mean, variance := numeric.MeanVariance(x)
	se := math.Sqrt(variance / float64(n))
	q := dist.TQuantile(.975, float64(n-1))
	for _, cluster := range [][]int{nil, ids} {
		e, err := ClusteredMean(x, cluster, .95)
		require.NoError(t, err)
		statstest.SameEstimate(t, stats.Estimate{Value: mean, SE: se, Low: mean - q*se, High: mean + q*se}, e, 1e-12, "mean")
		assert.InDelta(t, float64(n-1), e.DF, 1e-8)
	}
	// Cochran 1977, equation 6.13: sqrt(sum (y - Rx)^2/(n(n-1)))/mean x.
	var sy, sx, u2 float64
	for i := range x {
		sy += x[i]
		sx += den[i]
	}
	for i := range x {
		u2 += numeric.Square(x[i] - sy/sx*den[i])
	}
	r, err := RatioOfSumsLinearised(x, den, ids, .95)
	require.NoError(t, err)
	fn := float64(n)
	assert.InDelta(t, math.Sqrt(u2/(fn*(fn-1)))/(sx/fn), r.SE, 1e-12)
}

// Sums and numbers of cases give the mean that the rows of the cases give.
func TestSumsOfCasesGiveTheMeanOfRows(t *testing.T) {
	x, _, cluster := statstest.LawData(2)
	sums, numbers := make([]float64, len(x)), make([]float64, len(x))
	for i, c := range cluster {
		sums[c] += x[i]
		numbers[c]++
	}
	m := slices.Max(cluster) + 1
	want, err := ClusteredMean(x, cluster, .95)
	require.NoError(t, err)
	got, err := ClusteredMeanOfSums(sums[:m], numbers[:m], .95)
	require.NoError(t, err)
	statstest.SameEstimate(t, want, got, 1e-12, "mean")
	assert.Equal(t, [2]int{want.N, want.Clusters}, [2]int{got.N, got.Clusters})
	assert.InDelta(t, want.DF, got.DF, 1e-9)
	_, err = ClusteredMeanOfSums(sums, numbers[:1], .95)
	assert.Error(t, err)
}

// Fieller's set is equivariant to the units of numerator and denominator, and
// turning the ratio over turns a bounded set over.
func TestLawsOfFieller(t *testing.T) {
	base, err := Fieller(10, 5, 1, .25, .1, 9, .95)
	require.NoError(t, err)
	scaled, err := Fieller(70, 10, 49, 1, 1.4, 9, .95)
	require.NoError(t, err)
	over, err := Fieller(5, 10, .25, 1, .1, 9, .95)
	require.NoError(t, err)
	for _, c := range [][2]float64{{3.5 * base.Low, scaled.Low}, {3.5 * base.High, scaled.High}, {1 / base.High, over.Low}, {1 / base.Low, over.High}} {
		statstest.Near(t, c[0], c[1], 1e-12, 0)
	}
	last := 0.0
	for _, level := range []float64{.5, .9, .99} {
		s, err := Fieller(10, 5, 1, .25, .1, 9, level)
		require.NoError(t, err)
		assert.Greater(t, s.High-s.Low, last)
		last = s.High - s.Low
	}
}

// One row a cluster: the textbook sandwiches of White (1980), MacKinnon & White
// (1985, Journal of Econometrics 29:305-325, HC0, HC2, HC3), slope written out.
func TestOneRowAClusterIsTextbook(t *testing.T) {
	r := statstest.Reference(t, "linear/cars")
	n := len(r.Y)
	mean := 0.0
	for i := range n {
		mean += r.X[2*i+1] / float64(n)
	}
	sxx := 0.0
	for i := range n {
		sxx += (r.X[2*i+1] - mean) * (r.X[2*i+1] - mean)
	}
	for v, power := range map[stats.Variance]float64{stats.CR0: 0, stats.CR2: 1, stats.CR3: 2} {
		f, err := FitLinear(stats.LinearModel{Names: r.Names, X: r.X, Y: r.Y}, v)
		require.NoError(t, err)
		sum := 0.0
		for i := range n {
			d := r.X[2*i+1] - mean
			h := 1/float64(n) + d*d/sxx
			e := f.Residual(i)
			sum += d * d * e * e / math.Pow(1-h, power)
		}
		statstest.Near(t, math.Sqrt(sum)/sxx, f.Contrast([]float64{0, 1}, 0.95).SE, 1e-11, 0, v)
	}
}
