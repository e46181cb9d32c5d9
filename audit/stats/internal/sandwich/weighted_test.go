package sandwich

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
)

// TestWeightedCasesKept: what is kept of a cluster gives the moments that
// decomposing it again gives.
func TestWeightedCasesKept(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 2))
	x, y, root := gramData(rng, 200, 3, 1)
	cluster := make([]int, len(y))
	for i := range cluster {
		cluster[i] = rng.IntN(50)
	}
	s := NewWeightedSandwich(NewOrthonormal(x, y, root, 3), NewClustering(len(y), cluster), stats.CR2)
	l := [][]float64{{1, 0.5, 0}, {0, -1, 2}}
	kept := s.Gather(l).moments(nil)
	require.NotNil(t, s.kept)
	s.kept = nil
	again := s.Gather(l).moments(nil)
	assert.InDeltaSlice(t, again.mean, kept.mean, 1e-12)
	assert.InDeltaSlice(t, again.spread, kept.spread, 1e-12)
	assert.InDeltaSlice(t, again.cross, kept.cross, 1e-12)
}
