package stats_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/control"
)

// Each rule fires on its own pattern, at its last point, and nothing else does.
func TestRunRulesOnTheirPatterns(t *testing.T) {
	repeat := func(n int, v ...float64) (z []float64) {
		for len(z) < n {
			z = append(z, v...)
		}
		return z[:n]
	}
	nan := math.NaN()
	for name, c := range map[string]struct {
		z    []float64
		want []control.RunSignal
	}{
		"beyond":          {[]float64{0, 3.1, 0}, []control.RunSignal{{Rule: control.Beyond3, First: 1, Last: 1}}},
		"exactly 3":       {[]float64{0, 3, 0}, nil},
		"nine":            {repeat(9, .5, 1.5), []control.RunSignal{{Rule: control.Same9, First: 0, Last: 8}}},
		"eight":           {append(repeat(8, .5, 1.5), -.5, 1.2), nil},
		"nine broken":     {append(append(repeat(5, .5, 1.5), nan), repeat(5, .5, 1.5)...), nil},
		"on the line":     {append(append(repeat(5, .5, 1.5), 0), repeat(5, .5, 1.5)...), nil},
		"six rising":      {[]float64{-1.5, -1, -.5, 0, .5, 1}, []control.RunSignal{{Rule: control.Monotone6, First: 0, Last: 5}}},
		"five rising":     {[]float64{-1.5, -1, -.5, 0, .5, .5}, nil},
		"two of three":    {[]float64{0, 2.1, .5, 2.5, 0}, []control.RunSignal{{Rule: control.TwoOf3Beyond, First: 1, Last: 3}}},
		"opposite sides":  {[]float64{0, 2.1, .5, -2.5, 0}, nil},
		"fifteen":         {repeat(15, .3, -.6), []control.RunSignal{{Rule: control.Fifteen, First: 0, Last: 14}}},
		"fourteen":        {append(repeat(14, .3, -.6), 1.1), nil},
		"eighteen alike":  {repeat(18, 1.1, 1.2), []control.RunSignal{{Rule: control.Same9, First: 0, Last: 8}, {Rule: control.Same9, First: 9, Last: 17}}},
		"nothing at all":  {nil, nil},
		"missing between": {[]float64{2.5, nan, 2.5}, nil},
	} {
		assert.Equal(t, c.want, control.RunRules(c.z), name)
		mirrored := make([]float64, len(c.z))
		for i, v := range c.z {
			mirrored[i] = -v
		}
		assert.Equal(t, c.want, control.RunRules(mirrored), "mirrored "+name)
	}
}

// Chance alone sets off rule 1 at 2.70 points in a thousand (Shewhart 1931);
// nine on one side starts at any point with probability 2^-8 a chain.
func TestRunRulesUnderChance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	z := make([]float64, 200000)
	for i := range z {
		z[i] = r.NormFloat64()
	}
	count := map[control.RunRule]float64{}
	for _, s := range control.RunRules(z) {
		count[s.Rule] += 1000 / float64(len(z))
	}
	assert.InDelta(t, 2.700, count[control.Beyond3], .5)
	// Mean distance between non-overlapping runs of nine is 2(2^9 - 1)/2 = 511.
	assert.InDelta(t, 1000.0/511, count[control.Same9], .3)
	assert.Positive(t, count[control.Monotone6])
	assert.Less(t, count[control.TwoOf3Beyond], 4.0)
}

// Spiegelhalter 2005, appendix A.1.1, computed with R 4.2.2 (qbinom, pbinom,
// dbinom); negative limits at small n are clipped.
func TestFunnelLimits(t *testing.T) {
	p := []float64{.001, .025, .975, .999}
	for _, c := range []struct {
		theta float64
		n     int
		want  []float64
	}{
		{.5, 20, []float64{.1367358, .2558235, .6941765, .8132642}},
		{.5, 50, []float64{.2727708, .3507023, .6292977, .7072292}},
		{.5, 100, []float64{.3412159, .3968240, .5931760, .6487841}},
		{.1, 100, []float64{.0141789, .0403806, .1577186, .1983567}},
	} {
		l, err := control.FunnelBinomial(c.theta, c.n, p...)
		require.NoError(t, err)
		assert.InDeltaSlice(t, c.want, l.Limits, 5e-8)
	}
	small, err := control.FunnelBinomial(.1, 20, p...)
	require.NoError(t, err)
	assert.Zero(t, small.Limits[0])
	assert.Zero(t, small.Limits[1])
	_, err = control.FunnelBinomial(0, 10, .5)
	require.Error(t, err)
}

// Spiegelhalter 2005, sections 5.1 and 5.2, by hand without winsorising; with
// it, one wild unit no longer makes a spread.
func TestOverdispersion(t *testing.T) {
	y, v := []float64{1, 2, 4, 5, 3}, []float64{.25, .5, .25, 1, .5}
	r, err := control.Overdispersion(y, v, 3, 1e-12)
	require.NoError(t, err)
	phi := (16.0 + 2 + 4 + 4 + 0) / 5
	assert.InDelta(t, phi, r.Phi, 1e-9)
	w, w2 := 13.0, 16.0+4+16+1+4
	assert.InDelta(t, (5*phi-4)/(w-w2/w), r.Tau2, 1e-9)
	flat, err := control.Overdispersion([]float64{3, 3.1, 2.9}, []float64{1, 1, 1}, 3, control.DefaultWinsorise)
	require.NoError(t, err)
	assert.Zero(t, flat.Tau2)
	_, err = control.Overdispersion(y, []float64{1, 1, 0, 1, 1}, 3, .1)
	require.ErrorContains(t, err, "variance 2")
}
