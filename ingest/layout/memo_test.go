package layout_test

import (
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/memo"
)

// TestFindsOnce: and never holds more than its bound.
func TestFindsOnce(t *testing.T) {
	var m memo.Memo[string, int]
	calls := 0
	length := func(s string) int { calls++; return len(s) }
	assert.Equal(t, 5, m.Get("tooth", length))
	assert.Equal(t, 5, m.Get("tooth", length))
	assert.Equal(t, 1, calls)
	for range 2 {
		for i := range memo.Most - 1 {
			m.Get(strconv.Itoa(i), length)
		}
		assert.Equal(t, memo.Most, calls, "as many as that are remembered")
	}
	m.Get("one more", length)
	assert.Equal(t, 5, m.Get("tooth", length))
	assert.Equal(t, memo.Most+2, calls, "all are forgotten")
}

// What a text of a number gave is not asked again, and texts without a number are.
func TestNumbered(t *testing.T) {
	asked := map[string]int{}
	m := memo.ByNumber(func(s string) int { asked[s]++; return len(s) })
	for range 3 {
		for i, s := range []string{"none", "a", "", "long"} {
			assert.Equal(t, len(s), m.Get(uint32(i*900), s))
		}
	}
	assert.Equal(t, map[string]int{"none": 3, "a": 1, "": 1, "long": 1}, asked)
}

// Beyond its pages nothing more is remembered, and everything is still found.
func TestNumberedIsBounded(t *testing.T) {
	asked := 0
	m := memo.ByNumber(func(s string) int { asked++; return len(s) })
	for range 2 {
		for i := range uint32(memo.MostPages + 3) {
			assert.Equal(t, 3, m.Get(i*memo.Page+1, "abc"))
		}
	}
	assert.Equal(t, memo.MostPages+2*3, asked)
}

// BenchmarkNumbered looks the words of a column up by their numbers, and by the texts.
func BenchmarkNumbered(b *testing.B) {
	words := []string{"rotation", "mesiodistal tip", "vertical", "buccolingual torque"}
	find := func(s string) int { return len(s) }
	var text memo.Memo[string, int]
	number := memo.ByNumber(find)
	var byNumber, byText time.Duration
	for b.Loop() {
		start := time.Now()
		for i := range 10_000 {
			number.Get(uint32(i%len(words))+900, words[i%len(words)])
		}
		byNumber += time.Since(start)
		start = time.Now()
		for i := range 10_000 {
			text.Get(words[i%len(words)], find)
		}
		byText += time.Since(start)
	}
	b.ReportMetric(byNumber.Seconds()/byText.Seconds(), "ratio-to-texts")
}
