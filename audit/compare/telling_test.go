package compare

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// thinMouths are mouths of which two of three hold one movement, as in a cell of a
// practice. Invented.
func thinMouths(mouths int) *Data {
	rng, d := rand.New(rand.NewPCG(27, 11)), &Data{}
	for m := range mouths {
		n := 1
		if m%3 == 0 {
			n = 2 + rng.IntN(4)
		}
		for range n {
			treated, plan := rng.IntN(2) == 1, 1+rng.Float64()
			d.Patient, d.Mouth = append(d.Patient, m), append(d.Mouth, m)
			d.Planned, d.Treated = append(d.Planned, plan), append(d.Treated, treated)
			d.Achieved = append(d.Achieved, plan*(0.6+0.1*float64(b2i(treated))+0.2*rng.NormFloat64()))
			d.Class, d.Clinician = append(d.Class, int32(1+rng.IntN(3))), append(d.Clinician, m%4)
		}
	}
	d.Covariates = []Covariate{{Name: "class", Codes: d.Class}}
	return d
}

// TestTelling: a model among the movements that tell something is that among all, in
// every number, though the others have outcomes of their own.
func TestTelling(t *testing.T) {
	c, err := New(thinMouths(300), DefaultOptions())
	require.NoError(t, err)
	require.Less(t, 3*len(c.told), 2*len(c.rows))
	for _, root := range []robust.Root{robust.WeightedRows, robust.IdentityTarget} {
		c.o.Root = root
		whole, err := robust.FitAbsorbed(c.model(c.rows, c.y, c.cols))
		require.NoError(t, err)
		told, err := c.within(c.rows, c.y, c.cols)
		require.NoError(t, err)
		require.Less(t, told.N, whole.N)
		assert.InDeltaSlice(t, whole.Coef, told.Coef, 1e-13)
		assert.InDelta(t, whole.RSS, told.RSS, 1e-11)
		assert.Equal(t, whole.DF, told.DF)
		want, got := last(whole, .95), last(told, .95)
		assert.InDeltaSlice(t, numbersOf(want), numbersOf(got), 1e-9*want.DF)
		assert.Equal(t, [2]int{want.N, want.Clusters}, [2]int{got.N, got.Clusters})
	}
	y := slices.Clone(c.y) // a mouth whose other movement goes tells nothing either
	some := slices.DeleteFunc(slices.Clone(c.rows), func(i int) bool { return i%2 == 0 })
	fit, err := c.within(some, y, c.cols)
	require.NoError(t, err)
	whole, err := robust.FitAbsorbed(c.model(some, y, c.cols))
	require.NoError(t, err)
	assert.InDeltaSlice(t, whole.Coef, fit.Coef, 1e-12)
}

func numbersOf(e stats.Estimate) []float64 {
	return []float64{e.Value, e.SE, e.DF, e.Low, e.High, e.P}
}

// TestWhoTellsNothingCanLeave: where every patient who tells something pulls the
// difference down, leaving out one who tells nothing is the least change.
func TestWhoTellsNothingCanLeave(t *testing.T) {
	c, err := New(thinMouths(300), DefaultOptions())
	require.NoError(t, err)
	require.Less(t, c.fit.Clusters, c.Patients)
	k := c.WithoutPatient()
	require.GreaterOrEqual(t, k.Who, 0)
	assert.Less(t, k.Estimate.Value, c.Estimate.Value)
	assert.Zero(t, k.Who%3, "one with several movements")
}

// BenchmarkTelling sets models among the movements that tell something against those
// among all.
func BenchmarkTelling(b *testing.B) {
	c, err := New(thinMouths(6000), DefaultOptions())
	require.NoError(b, err)
	for _, x := range []struct {
		name string
		rows func() []int
	}{{"those that tell", func() []int { return c.d.telling(c.rows) }}, {"all", func() []int { return c.rows }}} {
		b.Run(fmt.Sprintf("%s of %d", x.name, len(c.rows)), func(b *testing.B) {
			for b.Loop() {
				fit, err := robust.FitAbsorbed(c.model(x.rows(), c.y, c.cols))
				require.NoError(b, err)
				last(fit, .95)
			}
		})
	}
}
