package stats_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/control"
)

// Dispersion( of independent answers is p(1-p) n/(n-1) to the digit, and
// SigmaLimits( of it are those of the p chart: 347 of 20 x 50, Montgomery 2009,
// table 7.1 and example 7.1, trial limits .0524 and .4102 about .2313 (the example
// has 30 samples of 50; printed values from memory).
func TestDispersionOfIndependentAnswers(t *testing.T) {
	var residual, size []float64
	const n, events = 1500, 347
	p := float64(events) / n
	for i := range n {
		x := 0.0
		if i < events {
			x = 1
		}
		residual, size = append(residual, x-p), append(size, 1)
	}
	d, err := control.Dispersion(residual, size, nil, 1)
	require.NoError(t, err)
	assert.InDelta(t, p*(1-p)*n/(n-1), d, 1e-12)
	assert.InDelta(t, 1, control.ShareEffect(d, p), .001)
	low, high := control.SigmaLimits(p, d, 50)
	assert.InDelta(t, .0524, low, 1e-4)
	assert.InDelta(t, .4102, high, 1e-4)
}

// Laws: rows of a unit count once; order and labels change nothing; the unit of the
// numerator squares; more fitted centres widen; a share's effect is never below 1.
func TestLawsOfBaselines(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 3))
	var residual, size []float64
	var unit []int
	for c := range 30 {
		for range 1 + r.IntN(6) {
			residual, size, unit = append(residual, r.NormFloat64()), append(size, 1+r.Float64()), append(unit, c)
		}
	}
	base, err := control.Dispersion(residual, size, unit, 1)
	require.NoError(t, err)
	var merged, sizes, moved, movedSize []float64
	for c := range 30 {
		var a, b float64
		for i, u := range unit {
			if u == c {
				a, b = a+residual[i], b+size[i]
			}
		}
		merged, sizes = append(merged, a), append(sizes, b)
	}
	whole, err := control.Dispersion(merged, sizes, nil, 1)
	require.NoError(t, err)
	assert.InEpsilon(t, base, whole, 1e-12)
	var movedUnit []int
	for _, i := range r.Perm(len(unit)) {
		moved, movedSize, movedUnit = append(moved, -10*residual[i]), append(movedSize, size[i]), append(movedUnit, 90-7*unit[i])
	}
	other, err := control.Dispersion(moved, movedSize, movedUnit, 1)
	require.NoError(t, err)
	assert.InEpsilon(t, 100*base, other, 1e-12)
	more, err := control.Dispersion(residual, size, unit, 4)
	require.NoError(t, err)
	assert.InEpsilon(t, base*29/26, more, 1e-12)

	for _, p := range []float64{.01, .3, .9} {
		assert.Equal(t, 1.0, control.ShareEffect(.5*p*(1-p), p))
		assert.InDelta(t, 2.5, control.ShareEffect(2.5*p*(1-p), p), 1e-12)
	}
	low, high := control.SigmaLimits(.4, base, 10)
	wideLow, wideHigh := control.SigmaLimits(.4, base, 9)
	assert.True(t, wideLow < low && high < wideHigh)
	assert.InDelta(t, .8, low+high, 1e-12)
}

func TestBaselinesAtTheirEdges(t *testing.T) {
	for _, x := range []float64{
		first(control.Dispersion([]float64{1}, []float64{1}, nil, 1)), first(control.Dispersion(nil, nil, nil, 1)),
		first(control.Dispersion([]float64{1, 2}, []float64{0, 0}, nil, 1)), control.ShareEffect(.2, 0), control.ShareEffect(0, 1), control.ShareEffect(math.NaN(), .3),
		first(control.SigmaLimits(.3, 0, 5)), first(control.SigmaLimits(.3, 1, 0)), first(control.SigmaLimits(.3, math.NaN(), 5)),
	} {
		assert.True(t, math.IsNaN(x))
	}
	_, err := control.Dispersion([]float64{1}, []float64{1}, []int{1, 2}, 1)
	assert.ErrorContains(t, err, "cluster ids")
	_, err = control.Dispersion([]float64{1}, []float64{1}, nil, 0)
	assert.ErrorContains(t, err, "centres")
	_, err = control.Dispersion([]float64{math.Inf(1)}, []float64{1}, nil, 1)
	assert.ErrorContains(t, err, "not a finite number")
}

func first[T any](x float64, _ T) float64 { return x }
