package robust

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
)

// t.test(extra ~ group, data = sleep) of R 4.2.2 (Student's sleep data): means .75
// and 2.33, t = -1.8608, df = 17.776, P = .07939, limits -3.3654832 and .2054832.
func TestWelchOfStudentsSleep(t *testing.T) {
	a, _ := ClusteredMean([]float64{.7, -1.6, -.2, -1.2, -.1, 3.4, 3.7, .8, 0, 2}, nil, .95)
	b, _ := ClusteredMean([]float64{1.9, .8, 1.1, .1, -.1, 4.4, 5.5, 1.6, 4.6, 3.4}, nil, .95)
	welch := func(a, b stats.Estimate, level float64) stats.Estimate {
		e, err := WelchDifference(a, b, level)
		require.NoError(t, err)
		return e
	}
	e := welch(a, b, .95)
	assert.InDelta(t, -1.58, e.Value, 1e-12)
	assert.InDelta(t, 17.77647, e.DF, 1e-4)
	assert.InDelta(t, .07939414, e.P, 1e-7)
	assert.InDelta(t, -3.3654832, e.Low, 1e-6)
	assert.InDelta(t, .2054832, e.High, 1e-6)

	back, wide := welch(b, a, .95), welch(a, b, .99)
	assert.InDelta(t, -e.Low, back.High, 1e-12)
	assert.InDelta(t, e.P, back.P, 1e-12)
	assert.True(t, wide.Low < e.Low && e.High < wide.High)
	known := b
	known.SE, known.DF = 0, math.Inf(1) // against a fixed number it is the one-sample interval
	assert.InDelta(t, a.Low-known.Value, welch(a, known, .95).Low, 1e-12)
	none := welch(a, stats.Estimate{SE: math.NaN(), DF: 3}, .95)
	assert.True(t, math.IsNaN(none.Low) && math.IsNaN(none.P))
	assert.Equal(t, "no-standard-error", none.Warnings[0].ID)
	_, err := WelchDifference(a, b, 1)
	assert.ErrorContains(t, err, "level")
}
