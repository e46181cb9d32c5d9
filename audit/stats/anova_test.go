package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

// Potthoff & Roy 1964 growth (nlme::Orthodont), R 4.2.2: MSB 19.937678, MSW
// 4.929784, ICC .432167512, design effect 2.2965025.
func TestOneWayOfGrowth(t *testing.T) {
	x, child := statstest.JawGrowth()
	r, err := agree.OneWay(x, child)
	require.NoError(t, err)
	assert.InDelta(t, 19.937678, r.SSBetween/r.DFBetween, 5e-7)
	assert.InDelta(t, 4.929784, r.SSWithin/r.DFWithin, 5e-7)
	assert.InDelta(t, .432167512, r.ICC, 5e-10)
	assert.InDelta(t, 2.2965025, r.DesignEffect, 5e-8)
	// Clustered mean, balanced: SE .4296605; unbalanced (child i without its
	// first i mod 4 visits): clubSandwich CR2 .47735769 on 21.458256 df.
	e, err := robust.ClusteredMean(x, child, .95)
	require.NoError(t, err)
	assert.InDelta(t, .4296605, e.SE, 5e-8)
	var part []float64
	var id []int
	for i, c := range child {
		if i%4 >= c%4 {
			part, id = append(part, x[i]), append(id, c)
		}
	}
	require.Len(t, part, 66)
	e, err = robust.ClusteredMean(part, id, .95)
	require.NoError(t, err)
	assert.InDelta(t, 24.77272727, e.Value, 5e-9)
	assert.InDelta(t, .47735769, e.SE, 5e-9)
	assert.InDelta(t, 21.458256, e.DF, 5e-7)
}
