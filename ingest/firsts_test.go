package ingest_test

import (
	"hash/maphash"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/firsts"
)

// The index gives what a map of first places gives, for parts of one key and of many, and
// where the rests of different keys are the same.
func TestIndexAgreesWithAMap(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, kinds := range []int{1, 7, 5000, 1 << 40} {
		for _, parts := range []int{1, 3, 700, 1 << 40} {
			keys := make([]int, 3000)
			for i := range keys {
				keys[i] = rng.IntN(kinds)
			}
			x := firsts.Of(func(i int) int { return keys[i] }, func(k int) (int, uint64) { return k % parts, uint64(k / parts % 90) })
			first := map[int]int{}
			for i, k := range keys {
				if _, known := first[k]; !known {
					first[k] = i
				}
				if !assert.Equal(t, first[k], x.Add(i)) {
					return
				}
			}
		}
	}
}

type key struct {
	practice, id string
	course       int
	tooth, axis  uint8
}

func movements(n int) []key {
	out := make([]key, n)
	for i := range out {
		out[i] = key{"MOONQUAY", string(rune('A'+i/41%26)) + string(rune('a'+i/41/26%26)) + string(rune('a'+i/41/676)), 1, uint8(i % 41), uint8(i % 3)}
	}
	return out
}

type of struct{ practice, id string }

// BenchmarkIndex against one table for all records, hashed by the whole key.
func BenchmarkIndex(b *testing.B) {
	keys := movements(300_000)
	b.Run("by part", func(b *testing.B) {
		for b.Loop() {
			x := firsts.Of(func(i int) key { return keys[i] }, func(k key) (of, uint64) {
				return of{k.practice, k.id}, uint64(k.course)<<16 | uint64(k.tooth)<<8 | uint64(k.axis)
			})
			for i := range keys {
				x.Add(i)
			}
		}
	})
	b.Run("one table", func(b *testing.B) {
		for b.Loop() {
			seed, slots := maphash.MakeSeed(), make([]uint32, 1<<19)
			for i, k := range keys {
				at := int(maphash.Comparable(seed, k)) & (1<<19 - 1)
				for slots[at] > 0 && keys[slots[at]-1] != k {
					at = (at + 1) & (1<<19 - 1)
				}
				slots[at] = uint32(i) + 1
			}
		}
	})
}
