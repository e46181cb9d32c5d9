// Package parallel shares independent tasks out over the processors.
//
// Place in the pipeline: audit uses it for the cells of the grid and the
// comparisons; results are put back in order, so they do not depend on it.
package parallel

import (
	"context"
	"runtime"
	"sync"
)

// Do runs tasks 0 to n-1 on as many goroutines as there are
// processors; worker makes one goroutine's task function with its own scratch.
func Do(ctx context.Context, n int, worker func() func(task int)) error {
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			do := worker()
			for i := range next {
				do(i)
			}
		})
	}
	defer wg.Wait()
	defer close(next)
	for i := range n {
		select {
		case next <- i:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return ctx.Err()
}
