package parallel

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every task is done once, in tasks of tasks too, hardly more at a time than there are
// processors (seven times three goroutines without sharing); afterwards all are free.
func TestNestedTasksShareTheProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(3))
	var done [7][50]atomic.Int64
	var at, most atomic.Int64
	err := Do(context.Background(), len(done), func() func(int) {
		return func(i int) {
			assert.NoError(t, Do(context.Background(), len(done[i]), func() func(int) {
				return func(k int) {
					now := at.Add(1)
					for m := most.Load(); now > m && !most.CompareAndSwap(m, now); m = most.Load() {
					}
					runtime.Gosched()
					done[i][k].Add(1)
					at.Add(-1)
				}
			}))
		}
	})
	require.NoError(t, err)
	for i := range done {
		for k := range done[i] {
			assert.EqualValues(t, 1, done[i][k].Load())
		}
	}
	assert.LessOrEqual(t, most.Load(), int64(6))
	assert.Zero(t, helpers.Load())
	require.NoError(t, Do(context.Background(), 0, nil))
}

// After Ctrl-C no task begins.
func TestNothingBeginsAfterTheEnd(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var mu sync.Mutex
	n := 0
	err := Do(ctx, 1000, func() func(int) {
		return func(int) {
			mu.Lock()
			defer mu.Unlock()
			if n++; n == 5 {
				cancel()
			}
		}
	})
	require.ErrorIs(t, err, context.Canceled)
	assert.Less(t, n, 5+runtime.GOMAXPROCS(0))
	assert.Zero(t, helpers.Load())
}

// BenchmarkNested sets tasks of tasks on one processor against two.
func BenchmarkNested(b *testing.B) {
	for _, n := range []int{1, 2} {
		b.Run(map[int]string{1: "one processor", 2: "two"}[n], func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(n))
			var sum atomic.Int64
			for b.Loop() {
				_ = Do(context.Background(), 4, func() func(int) {
					return func(int) {
						_ = Do(context.Background(), 8, func() func(int) {
							return func(int) {
								x := int64(1)
								for range 200_000 {
									x = x*6364136223846793005 + 1
								}
								sum.Add(x)
							}
						})
					}
				})
			}
		})
	}
}
