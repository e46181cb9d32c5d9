package grid

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/sampledata"
)

// eachPlace calls visit with the ratios of every cell of the grid, in the order
// of the rows.
func eachPlace(p *rows.Set, slabs []slab, visit func(s *slab, place int, ratios []float64)) {
	for k := range slabs {
		var ratios [places][]float64
		for _, i := range slabs[k].rows {
			r := &p.Analysed[i]
			for _, place := range placesOf(r) {
				ratios[place] = append(ratios[place], r.Expression())
			}
		}
		for place, v := range ratios {
			if len(v) > 0 {
				visit(&slabs[k], place, v)
			}
		}
	}
}

// TestRisingIsSorted: the cells get their ratios in order from one sort of all
// rows, with the quartiles that sorting each cell gives.
func TestRisingIsSorted(t *testing.T) {
	params := sampledata.Default()
	params.Cases = 60
	ds, _ := sampledata.Generate(params, 5)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(t, err)
	cells := map[results.By]*results.Cell{}
	all, err := Expression(context.Background(), p)
	require.NoError(t, err)
	for i := range all {
		cells[all[i].By] = &all[i]
	}
	checked := 0
	eachPlace(p, slabs(p), func(s *slab, place int, ratios []float64) {
		by := placeBy(place)
		by.Axis, by.Direction, by.Style, by.Course = s.by.Axis, s.by.Direction, s.by.Style, s.by.Course
		q := stats.Quantiles(ratios, 0.25, 0.5, 0.75)
		require.NotNil(t, cells[by])
		assert.Equal(t, [3]results.Number{results.Number(q[0]), results.Number(q[1]), results.Number(q[2])},
			[3]results.Number{cells[by].LowerQuartile, cells[by].MedianRatio, cells[by].UpperQuartile})
		checked++
	})
	assert.Equal(t, len(all), checked)
}

// BenchmarkRising sets one sort of all rows against a sort in every cell.
func BenchmarkRising(b *testing.B) {
	params := sampledata.Default()
	params.Cases = 1000
	ds, _ := sampledata.Generate(params, 5)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(b, err)
	slabs := slabs(p)
	b.Run("once", func(b *testing.B) {
		for b.Loop() {
			risingRows(p)
			for k := range slabs {
				var rising [places][]float64
				for _, i := range slabs[k].rising {
					r := &p.Analysed[i]
					for _, place := range placesOf(r) {
						rising[place] = append(rising[place], r.Expression())
					}
				}
			}
		}
	})
	b.Run("every-cell", func(b *testing.B) {
		for b.Loop() {
			eachPlace(p, slabs, func(_ *slab, _ int, ratios []float64) { slices.Sort(ratios) })
		}
	})
}
