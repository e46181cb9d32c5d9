package robust

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
)

// A fit in borrowed memory is the same to the last bit, after another fit was
// there and was given back, and where the memory had to grow in between.
func TestArenaChangesNothing(t *testing.T) {
	arena := new(stats.Arena)
	for _, size := range [][2]int{{40, 6}, {7, 3}, {90, 8}, {40, 6}} {
		m, _ := statstest.ModelBenchData(size[0], size[1])
		m.Weights = make([]float64, len(m.Y))
		for i := range m.Weights {
			m.Weights[i] = 1 + float64(i%5)
		}
		m.InverseVariance = true
		two := stats.LinearModel{Names: m.Names[:2], Y: m.Y, Weights: m.Weights, Cluster: m.Cluster, InverseVariance: true}
		for i := range m.Y {
			two.X = append(two.X, 1, m.X[6*i+1])
		}
		for _, model := range []stats.LinearModel{m, two} {
			own, err := FitLinear(model, stats.CR2)
			require.NoError(t, err)
			model.Arena = arena
			lent, err := FitLinear(model, stats.CR2)
			require.NoError(t, err)
			c := statstest.Unit(len(model.Names), 1)
			assert.Equal(t, own.Contrast(c, .95), lent.Contrast(c, .95))
			assert.Equal(t, own.Coef, lent.Coef)
		}
		arena.Reset()
	}
}

// Many fits of a cell's size, with and without.
func BenchmarkArena(b *testing.B) {
	m, _ := statstest.ModelBenchData(500, 8)
	for name, arena := range map[string]*stats.Arena{"Own": nil, "Lent": new(stats.Arena)} {
		m.Arena = arena
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f, err := FitLinear(m, stats.CR2)
				require.NoError(b, err)
				f.Contrast(statstest.Unit(6, 1), .95)
				if arena != nil {
					arena.Reset()
				}
			}
		})
	}
}
