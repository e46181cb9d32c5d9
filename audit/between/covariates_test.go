package between

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"shortfall/audit/measure"
	"shortfall/audit/rows"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plainWords is words without counting: each indicator by itself.
func plainWords(b *AdjusterBuilder, name string, code func(*rows.Row) int) (cols []ModelColumn) {
	weight := map[int]float64{}
	top, total := 0, 0.0
	for i := range b.Rows {
		weight[code(b.row(i))] += b.row(i).Planned
		top = max(top, code(b.row(i)))
	}
	reference := 0
	for c := range top + 1 {
		total += weight[c]
		if weight[c] > weight[reference] {
			reference = c
		}
	}
	if weight[0] > total/2 || weight[reference] == total {
		return nil
	}
	for c := range top + 1 {
		is := make([]float64, len(b.Rows))
		for i := range is {
			is[i] = float64(measure.OneIf(code(b.row(i)) == c))
		}
		if c != reference && weight[c] > 0 && b.enough(is) {
			cols = append(cols, b.centred(fmt.Sprintf("%s %d", name, c), is))
		}
	}
	return cols
}

// TestWordsCounted: counting the words in one pass gives the columns that
// looking at each word by itself gives, bit for bit.
func TestWordsCounted(t *testing.T) {
	made := 0
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 9))
		p, codes := &rows.Set{}, map[*rows.Row]int{}
		cluster, words := 0, 2+rng.IntN(5)
		for range 60 {
			cluster += rng.IntN(2) * rng.IntN(3)
			p.Analysed = append(p.Analysed, rows.Row{Cluster: cluster, Planned: 0.2 + rng.Float64()})
		}
		b := &AdjusterBuilder{P: p}
		for i := range p.Analysed {
			b.Rows = append(b.Rows, int32(i))
			c := p.Analysed[i].Cluster % words
			if rng.IntN(4) == 0 {
				c = rng.IntN(words)
			}
			codes[&p.Analysed[i]] = c
		}
		code := func(r *rows.Row) int { return codes[r] }
		b.Words("word", code)
		want := plainWords(b, "word", code)
		if want == nil {
			assert.Empty(t, b.Out)
			continue
		}
		require.Len(t, b.Out, 1)
		assert.Equal(t, want, b.Out[0].Cols)
		made += len(want)
	}
	assert.Greater(t, made, 60)
}

// BenchmarkWords sets counting against looking at each word by itself.
func BenchmarkWords(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 9))
	p := &rows.Set{}
	build := &AdjusterBuilder{P: p}
	for i := range 20000 {
		p.Analysed = append(p.Analysed, rows.Row{Cluster: i / 8, Planned: 0.2 + rng.Float64()})
		build.Rows = append(build.Rows, int32(i))
	}
	code := func(r *rows.Row) int { return r.Cluster % 6 }
	b.Run("counted", func(b *testing.B) {
		for b.Loop() {
			build.Out = nil
			build.Words("word", code)
		}
	})
	b.Run("plain", func(b *testing.B) {
		for b.Loop() {
			plainWords(build, "word", code)
		}
	})
}
