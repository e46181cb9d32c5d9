package audit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// plainWords is words without counting: each indicator by itself.
func plainWords(b *adjusterBuilder, name string, code func(*row) int) (cols []modelColumn) {
	weight := map[int]float64{}
	top, total := 0, 0.0
	for i := range b.rows {
		weight[code(b.row(i))] += b.row(i).planned
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
		is := make([]float64, len(b.rows))
		for i := range is {
			is[i] = float64(oneIf(code(b.row(i)) == c))
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
		p, codes := &prepared{}, map[*row]int{}
		cluster, words := 0, 2+rng.IntN(5)
		for range 60 {
			cluster += rng.IntN(2) * rng.IntN(3)
			p.analysed = append(p.analysed, row{cluster: cluster, planned: 0.2 + rng.Float64()})
		}
		b := &adjusterBuilder{p: p}
		for i := range p.analysed {
			b.rows = append(b.rows, int32(i))
			c := p.analysed[i].cluster % words
			if rng.IntN(4) == 0 {
				c = rng.IntN(words)
			}
			codes[&p.analysed[i]] = c
		}
		code := func(r *row) int { return codes[r] }
		b.words("word", code)
		want := plainWords(b, "word", code)
		if want == nil {
			assert.Empty(t, b.out)
			continue
		}
		require.Len(t, b.out, 1)
		assert.Equal(t, want, b.out[0].cols)
		made += len(want)
	}
	assert.Greater(t, made, 60)
}

// BenchmarkWords sets counting against looking at each word by itself.
func BenchmarkWords(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 9))
	p := &prepared{}
	build := &adjusterBuilder{p: p}
	for i := range 20000 {
		p.analysed = append(p.analysed, row{cluster: i / 8, planned: 0.2 + rng.Float64()})
		build.rows = append(build.rows, int32(i))
	}
	code := func(r *row) int { return r.cluster % 6 }
	b.Run("counted", func(b *testing.B) {
		for b.Loop() {
			build.out = nil
			build.words("word", code)
		}
	})
	b.Run("plain", func(b *testing.B) {
		for b.Loop() {
			plainWords(build, "word", code)
		}
	})
}
