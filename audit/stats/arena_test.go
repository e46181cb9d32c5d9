package stats

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A fit in borrowed memory is the same to the last bit, after another fit was
// there and was given back, and where the memory had to grow in between.
func TestArenaChangesNothing(t *testing.T) {
	arena := new(Arena)
	for _, size := range [][2]int{{40, 6}, {7, 3}, {90, 8}, {40, 6}} {
		m, _ := modelBenchData(size[0], size[1])
		m.Weights = make([]float64, len(m.Y))
		for i := range m.Weights {
			m.Weights[i] = 1 + float64(i%5)
		}
		m.InverseVariance = true
		two := LinearModel{Names: m.Names[:2], Y: m.Y, Weights: m.Weights, Cluster: m.Cluster, InverseVariance: true}
		for i := range m.Y {
			two.X = append(two.X, 1, m.X[6*i+1])
		}
		for _, model := range []LinearModel{m, two} {
			own, err := FitLinear(model, CR2)
			require.NoError(t, err)
			model.Arena = arena
			lent, err := FitLinear(model, CR2)
			require.NoError(t, err)
			c := unit(len(model.Names), 1)
			assert.Equal(t, own.Contrast(c, .95), lent.Contrast(c, .95))
			assert.Equal(t, own.Coef, lent.Coef)
		}
		arena.Reset()
	}
}

func TestArenaGivesZeros(t *testing.T) {
	a := new(Arena)
	first := a.Floats(3)
	for i := range first {
		first[i] = 1
	}
	second := a.Floats(200) // grows: the first stays as it was
	second[0] = 2
	assert.Equal(t, []float64{1, 1, 1}, first)
	assert.Equal(t, []float64{1, 1, 1, 5}, append(first, 5))
	assert.Equal(t, 2., second[0], "nothing is appended into a neighbour")
	a.Reset()
	assert.Equal(t, make([]float64, 200), a.Floats(200))
	assert.Len(t, (*Arena)(nil).Floats(4), 4)
}

// Many fits of a cell's size, with and without.
func BenchmarkArena(b *testing.B) {
	m, _ := modelBenchData(500, 8)
	for name, arena := range map[string]*Arena{"Own": nil, "Lent": new(Arena)} {
		m.Arena = arena
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f, err := FitLinear(m, CR2)
				require.NoError(b, err)
				f.Contrast(unit(6, 1), .95)
				if arena != nil {
					arena.Reset()
				}
			}
		})
	}
}
