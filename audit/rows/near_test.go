package rows_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

func invented(tb testing.TB, cases int) *rows.Set {
	tb.Helper()
	params := sampledata.Default()
	params.Cases = cases
	ds, _ := sampledata.Generate(params, 5)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(tb, err)
	return p
}

// TestNear: the same rows in the same order, each with its case and the course before; the
// set stays as it was, and memory that was used before holds nothing of it.
func TestNear(t *testing.T) {
	p := invented(t, 60)
	analysed, missing := len(p.Analysed), len(p.Missing)
	var memory rows.Near
	for _, d := range casebook.Directions() {
		by := results.By{Axis: d.Axis(), Direction: d}
		of, gone := p.AnalysedIn(by), p.MissingIn(by)
		near, which, without := p.Near(of, gone, &memory)
		require.Len(t, near.Analysed, len(of), d)
		require.Len(t, near.Missing, len(gone), d)
		for k, i := range of {
			assert.Equal(t, p.Analysed[i], near.Analysed[which[k]])
			assert.Same(t, p.Log(&p.Analysed[i]), near.Log(&near.Analysed[which[k]]))
			assert.Same(t, p.Before(&p.Analysed[i]), near.Before(&near.Analysed[which[k]]))
		}
		assert.Panics(t, func() { near.AnalysedIn(by) }, "none is not said of places that are not known")
		assert.Panics(t, func() { near.MissingIn(by) })
		for k, i := range gone {
			assert.Same(t, p.Missing[i].Movement, near.Missing[without[k]].Movement)
		}
	}
	assert.Len(t, p.Analysed, analysed)
	assert.Len(t, p.Missing, missing)
}

// BenchmarkNear sets the rows of the cells of all directions, read twenty times each, side by
// side in memory against where they lie.
func BenchmarkNear(b *testing.B) {
	p := invented(b, 10_000)
	var cells [][]int32
	for _, d := range casebook.Directions() {
		cells = append(cells, p.AnalysedIn(results.By{Axis: d.Axis(), Direction: d}))
	}
	read := func(p *rows.Set, which []int32) (sum float64) {
		for range 20 {
			for _, i := range which {
				sum += p.Analysed[i].Planned
			}
		}
		return sum
	}
	var near, far float64
	b.Run("near", func(b *testing.B) {
		var memory rows.Near
		for b.Loop() {
			near = 0
			for _, which := range cells {
				q, places, _ := p.Near(which, nil, &memory)
				near += read(q, places)
			}
		}
	})
	b.Run("far", func(b *testing.B) {
		for b.Loop() {
			far = 0
			for _, which := range cells {
				far += read(p, which)
			}
		}
	})
	require.InEpsilon(b, far, near, 1e-12)
}
