package grid

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/sampledata"
)

func bench(b *testing.B, cases int) *rows.Set {
	b.Helper()
	params := sampledata.Default()
	params.Cases = cases
	ds, _ := sampledata.Generate(params, 5)
	p, err := rows.Prepare(ds, results.DefaultSettings())
	require.NoError(b, err)
	return p
}

// BenchmarkRising sets one sort of the rows of an axis against a sort in every cell.
func BenchmarkRising(b *testing.B) {
	p := bench(b, 1000)
	b.Run("once", func(b *testing.B) {
		for b.Loop() {
			for _, k := range blocks(p) {
				eachSlab(p, &k, new(scratch), func(s *slab) {
					var tallies [places]tally
					for _, r := range s.rising {
						for _, place := range toothPlaces[r.tooth] {
							tallies[place].come(r.value)
						}
					}
				})
			}
		}
	})
	b.Run("every-cell", func(b *testing.B) {
		for b.Loop() {
			for _, k := range blocks(p) {
				eachSlab(p, &k, new(scratch), func(s *slab) {
					for _, c := range cellsByRows(p, s) {
						slices.Sort(c.rising)
					}
				})
			}
		}
	})
}

// BenchmarkExpression sets sums of cases against lists of the rows of every cell.
func BenchmarkExpression(b *testing.B) {
	p := bench(b, 1000)
	b.Run("sums", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_, err := Expression(context.Background(), p)
			require.NoError(b, err)
		}
	})
	b.Run("rows", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			expressionByRows(p)
		}
	})
}
