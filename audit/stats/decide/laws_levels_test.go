package decide

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// HolmWithPrimary( by hand: .02 of a primary with half of alpha is .04; the others
// are Holm times two. Without a primary it is Holm; order changes nothing; no P
// takes no share.
func TestHolmWithAPrimary(t *testing.T) {
	got, err := HolmWithPrimary([]float64{.02, .01, .03, .6}, 0, .5)
	require.NoError(t, err)
	assert.InDeltaSlice(t, []float64{.04, .06, .12, 1}, got, 1e-12)
	nan := math.NaN()
	got, err = HolmWithPrimary([]float64{nan, .01, .03}, 0, .5)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(got[0]))
	assert.InDeltaSlice(t, Holm([]float64{.01, .03}), got[1:], 1e-12)
	p := []float64{.2, .001, nan, .04, .04}
	got, err = HolmWithPrimary(p, -1, .5)
	require.NoError(t, err)
	for i, want := range Holm(p) {
		statstest.Near(t, want, got[i], 1e-12, 1)
	}
	_, err = HolmWithPrimary(p, 5, .5)
	assert.ErrorContains(t, err, "primary comparison 5")
	_, err = HolmWithPrimary(p, 1, 1)
	assert.ErrorContains(t, err, "share of alpha")
}

// Any false call under no effect comes in at most 5 % of families, whatever is
// declared and however often one looks at independent records.
func TestFamiliesKeepTheirLevel(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const runs, alpha = 20_000, .05
	split, looked := 0, 0
	for range runs {
		p := make([]float64, 6)
		for i := range p {
			p[i] = r.Float64()
		}
		adjusted, err := HolmWithPrimary(p, 2, .5)
		require.NoError(t, err)
		if statsMin(adjusted) < alpha {
			split++
		}
		level, err := LookLevel(alpha, 4)
		require.NoError(t, err)
		for range 4 {
			if r.Float64() < level {
				looked++
				break
			}
		}
	}
	for _, n := range []int{split, looked} {
		assert.InDelta(t, alpha, float64(n)/runs, .005)
	}
	_, err := LookLevel(.05, 0)
	assert.ErrorContains(t, err, "looks")
}

func statsMin(x []float64) float64 {
	out := math.Inf(1)
	for _, v := range x {
		out = min(out, v)
	}
	return out
}

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
		}{{Holm, HolmLevels}, {BenjaminiHochberg, BenjaminiHochbergLevels}} {
			got := f.levels(p, .05)
			called := func(q []float64) (n int) {
				for _, v := range f.adjust(q) {
					n += one(v < .05)
				}
				return n
			}
			for i, level := range got {
				if math.IsNaN(p[i]) {
					assert.True(t, math.IsNaN(level))
					continue
				}
				q := append([]float64(nil), p...)
				before := called(p) - one(f.adjust(p)[i] < .05)
				q[i] = level * (1 - 1e-9)
				if n := called(q); n-one(f.adjust(q)[i] < .05) == before { // the others stand
					assert.Less(t, f.adjust(q)[i], .05, "%v %d", p, i)
				}
				q[i] = level * (1 + 1e-9)
				if n := called(q); n-one(f.adjust(q)[i] < .05) == before {
					assert.GreaterOrEqual(t, f.adjust(q)[i], .05, "%v %d", p, i)
				}
			}
		}
	}
}
