package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/nonpar"
)

// The scores from their definition, by a triple loop, and the exact P by hand.
func TestClusteredSignedRankByDefinition(t *testing.T) {
	d := []float64{1.2, .4, -.3, 2, 2, .7, -1.1, .4, .9, 3, -.2, 1.2}
	cluster := []int{1, 1, 1, 2, 2, 3, 3, 3, 3, 4, 5, 5}
	r, err := nonpar.ClusteredSignedRank(d, cluster)
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
	m, err := nonpar.ClusteredSignedRank(d, cluster)
	require.NoError(t, err)
	assert.InDelta(t, -r.Statistic, m.Statistic, 1e-12)
	assert.Equal(t, r.P, m.P)
	assert.Contains(t, statstest.WarningIDs(r.Warnings), "few-clusters")
}
