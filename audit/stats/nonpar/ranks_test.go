package nonpar

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/combin"

	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/statstest"
)

func minus(a, b []float64) []float64 {
	d := make([]float64, len(a))
	for i := range d {
		d[i] = a[i] - b[i]
	}
	return d
}

// Hollander & Wolfe 1999, table 3.1, depression scale factors; the example of
// R's wilcox.test help: V 40, one-sided P 10/512, interval .010 to .786.
func TestSignedRankOfDepression(t *testing.T) {
	x := []float64{1.83, .50, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.30}
	y := []float64{.878, .647, .598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29}
	r, err := SignedRank(minus(x, y), .95)
	require.NoError(t, err)
	assert.Equal(t, 40.0, r.Statistic)
	assert.True(t, r.Exact)
	assert.InDelta(t, 10.0/512, r.PGreater, 1e-15)
	assert.InDelta(t, 20.0/512, r.P, 1e-15)
	assert.InDelta(t, .46, r.Value, 1e-12)
	assert.InDelta(t, .010, r.Low, 1e-12)
	assert.InDelta(t, .786, r.High, 1e-12)
	assert.GreaterOrEqual(t, r.Reached, .95)
}

// Against listing every sign vector and every choice, ties and all.
func TestRankDistributionsByListing(t *testing.T) {
	d := []float64{1, -1, 2, 2, -3, 2, 5, 1}
	r, err := SignedRank(d, .9)
	require.NoError(t, err)
	abs := make([]float64, len(d))
	for i, v := range d {
		abs[i] = math.Abs(v)
	}
	ranks, _ := doubleRanks(abs)
	var greater, less int
	for bits := range 1 << len(d) {
		s := 0
		for i, v := range ranks {
			if bits>>i&1 == 1 {
				s += v
			}
		}
		if float64(s) >= 2*r.Statistic {
			greater++
		}
		if float64(s) <= 2*r.Statistic {
			less++
		}
	}
	assert.InDelta(t, float64(greater)/256, r.PGreater, 1e-14)
	assert.InDelta(t, float64(less)/256, r.PLess, 1e-14)

	a, b := []float64{1, 2, 2, 3, 7}, []float64{2, 2, 4, 5, 5, 6}
	w, err := RankSum(a, b, .9)
	require.NoError(t, err)
	all := append(append([]float64{}, a...), b...)
	ranks, _ = doubleRanks(all)
	greater, less = 0, 0
	choices := combin.Combinations(11, 5)
	for _, c := range choices {
		s := 0
		for _, i := range c {
			s += ranks[i]
		}
		stat := float64(s-30) / 2
		if stat >= w.Statistic {
			greater++
		}
		if stat <= w.Statistic {
			less++
		}
	}
	assert.InDelta(t, float64(greater)/float64(len(choices)), w.PGreater, 1e-12)
	assert.InDelta(t, float64(less)/float64(len(choices)), w.PLess, 1e-12)
}

// A published bug class: with ties, P(a, b) differing from P(b, a).
func TestRankSumIsSymmetricUnderTies(t *testing.T) {
	for _, c := range [][2][]float64{
		{{1, 1, 1, 2, 3}, {1, 2, 2, 2, 2, 4}},
		{{1, 2, 3}, {3, 3, 3, 3}},
		{{5, 5, 5}, {5, 5}},
		{{.1, .2, .2, .2}, {.2}},
	} {
		for _, large := range []bool{false, true} {
			a, b := c[0], c[1]
			if large { // into the normal approximation
				for len(a) < 150 {
					a, b = append(a, c[0]...), append(b, c[1]...)
				}
			}
			x, err := RankSum(a, b, .95)
			require.NoError(t, err)
			y, err := RankSum(b, a, .95)
			require.NoError(t, err)
			assert.Equal(t, large, !x.Exact)
			assert.InDelta(t, x.P, y.P, 1e-12)
			assert.InDelta(t, x.PGreater, y.PLess, 1e-12)
			assert.InDelta(t, x.Value, -y.Value, 1e-15)
			assert.InDelta(t, x.Low, -y.High, 1e-15)
			assert.LessOrEqual(t, x.P, 1.0)
		}
	}
}

func TestRankEdges(t *testing.T) {
	r, err := SignedRank([]float64{0, 0}, .95)
	require.NoError(t, err)
	assert.Equal(t, 1.0, r.P)
	assert.Equal(t, 2, r.Zeros)
	r, err = SignedRank([]float64{1, 2, 3}, .95)
	require.NoError(t, err)
	assert.True(t, math.IsInf(r.Low, -1), "three pairs cannot carry 95 %")
	assert.Contains(t, statstest.WarningIDs(r.Warnings), "too-few-for-level")
	w, err := RankSum(nil, []float64{1}, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(w.P))
	_, err = RankSum([]float64{math.NaN()}, []float64{1}, .95)
	require.Error(t, err)
}

// One row a case: the statistic is sum of signed ranks, Z its textbook score,
// and P the exact one.
func TestClusteredSignedRankReduces(t *testing.T) {
	for _, d := range [][]float64{
		{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48},
		{1, -1, 2, 2, -3, 2, 5, 1, 0},
	} {
		plain, err := SignedRank(d, .95)
		require.NoError(t, err)
		r, err := ClusteredSignedRank(d, nil)
		require.NoError(t, err)
		n := float64(r.N)
		assert.InDelta(t, 2*plain.Statistic-n*(n+1)/2, r.Statistic, 1e-10)
		assert.InDelta(t, plain.P, r.P, 1e-12)
		assert.True(t, r.Exact)
	}
}

// The scores from their definition, by a triple loop, and the exact P by hand.
func TestClusteredSignedRankByDefinition(t *testing.T) {
	d := []float64{1.2, .4, -.3, 2, 2, .7, -1.1, .4, .9, 3, -.2, 1.2}
	cluster := []int{1, 1, 1, 2, 2, 3, 3, 3, 3, 4, 5, 5}
	r, err := ClusteredSignedRank(d, cluster)
	require.NoError(t, err)
	var sum, s2 float64
	for _, g := range bycase.Rows(len(d), cluster) {
		var score float64
		for _, i := range g {
			rank := 1.0
			for _, h := range bycase.Rows(len(d), cluster) {
				if cluster[h[0]] == cluster[i] {
					continue
				}
				for _, j := range h {
					switch x, y := math.Abs(d[j]), math.Abs(d[i]); {
					case x < y:
						rank += 1 / float64(len(h))
					case x == y:
						rank += .5 / float64(len(h))
					}
				}
			}
			score += math.Copysign(rank, d[i]) / float64(len(g))
		}
		sum += score
		s2 += score * score
	}
	assert.InDelta(t, sum, r.Statistic, 1e-12)
	assert.InDelta(t, sum/math.Sqrt(s2), r.Z, 1e-12)
	for i := range d {
		d[i] = -d[i]
	}
	m, err := ClusteredSignedRank(d, cluster)
	require.NoError(t, err)
	assert.InDelta(t, -r.Statistic, m.Statistic, 1e-12)
	assert.Equal(t, r.P, m.P)
	assert.Contains(t, statstest.WarningIDs(r.Warnings), "few-clusters")
}

// One row a case is the Hodges-Lehmann estimate and the exact interval of the
// signed rank test; Darwin's maize (wilcox.test of R 4.2.2 gives 25) among them.
func TestClusteredPseudomedianReduces(t *testing.T) {
	for _, d := range [][]float64{
		{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48},
		{1.2, -.7, .4, 2.9, 1.7, .1, -.2, 3.3},
	} {
		for _, level := range []float64{.8, .95} {
			plain, err := SignedRank(d, level)
			require.NoError(t, err)
			e, err := ClusteredPseudomedian(d, nil, level)
			require.NoError(t, err)
			assert.InDelta(t, plain.Value, e.Value, 1e-9)
			assert.InDelta(t, plain.Low, e.Low, 1e-9)
			assert.InDelta(t, plain.High, e.High, 1e-9)
			assert.InDelta(t, plain.P, e.P, 1e-12)
		}
	}
}

// The estimate from its definition: the median of all means of a difference with
// itself (weight 1/n) or with one of another case (weight 1/(n m)).
func TestClusteredPseudomedianByDefinition(t *testing.T) {
	d := []float64{1.2, .4, -.3, 2, 2.1, .7, -1.1, .45, .9, 3, -.2, 1.25, .33}
	cluster := []int{1, 1, 1, 2, 2, 3, 3, 3, 3, 4, 5, 5, 5}
	type mean struct{ v, w float64 }
	var all []mean
	groups := bycase.Rows(len(d), cluster)
	for a, g := range groups {
		for _, i := range g {
			all = append(all, mean{d[i], 1 / float64(len(g))})
			for _, h := range groups[:a] {
				for _, j := range h {
					all = append(all, mean{(d[i] + d[j]) / 2, 1 / float64(len(g)*len(h))})
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b mean) int { return cmp.Compare(a.v, b.v) })
	var total, below float64
	for _, m := range all {
		total += m.w
	}
	k := 0
	for ; below+all[k].w < total/2; k++ {
		below += all[k].w
	}
	e, err := ClusteredPseudomedian(d, cluster, .9)
	require.NoError(t, err)
	assert.InDelta(t, all[k].v, e.Value, 1e-9)
	assert.Contains(t, statstest.WarningIDs(e.Warnings), "few-clusters")
	few, err := ClusteredPseudomedian(d, cluster, .95) // five cases: no P below 1/16
	require.NoError(t, err)
	assert.True(t, math.IsInf(few.Low, -1) && math.IsInf(few.High, 1))
	assert.Contains(t, statstest.WarningIDs(few.Warnings), "too-few-for-level")
	six, err := ClusteredPseudomedian(append(d, 1.9), append(cluster, 6), .95) // six allow 1/32
	require.NoError(t, err)
	assert.False(t, math.IsInf(six.Low, -1) || math.IsInf(six.High, 1))
	one, err := ClusteredPseudomedian(d[:3], cluster[:3], .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"one-case"}, statstest.WarningIDs(one.Warnings))
}

// Above the listed sizes the limits are the pairwise values counted in from the
// ends by the normal approximation (Hollander & Wolfe 1999, equations 3.23 and
// 4.41: n(n+1)/4 or mn/2 less z standard errors).
func TestRankLimitsOfLargeSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	draw := func(n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = .2 + r.NormFloat64()
		}
		return x
	}
	const z = 1.959963984540054
	a, b := draw(70), draw(45)
	w, err := RankSum(a, b, .95)
	require.NoError(t, err)
	require.False(t, w.Exact)
	var below float64
	for _, x := range a {
		for _, y := range b {
			below += statstest.Indicator(x-y < w.Low)
		}
	}
	assert.Equal(t, math.Round(70*45/2-z*math.Sqrt(70.0*45*116/12)), below+1)
	d := draw(230)
	s, err := SignedRank(d, .95)
	require.NoError(t, err)
	require.False(t, s.Exact)
	below = 0
	for i, x := range d {
		for _, y := range d[i:] {
			below += statstest.Indicator((x+y)/2 < s.Low)
		}
	}
	assert.Equal(t, math.Round(230.0*231/4-z*math.Sqrt(230.0*231*461/24)), below+1)
}
